//! Bench work: bags, bar sets and cut forks made from stock in runs, and taken apart again.

mod apart;
mod make;
mod plan;
mod shop;
mod view;

pub use apart::{Apart, BackPart, TakeApart, take_apart};
pub use make::{LostPart, MadeRun, NewRun, Taken, make};
pub use plan::{LackView, MadeView, MakeNow, PlanView, TakeView, list, plan};
pub use view::{
    KitOfRunView, LostView, RunHeadView, RunPartView, RunPlaceView, RunView, run, runs,
};

pub(super) use plan::make_now;

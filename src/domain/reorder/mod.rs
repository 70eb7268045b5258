//! When a part is ordered, how many, and why; and the theory behind it.
//!
//! Costs and demands are computed in floating point over what was observed; every quantity that is
//! suggested is whole packs of whole pieces, and every reorder point is rounded up to a whole piece.

mod bought;
mod breaks;
mod calendar;
mod cards;
mod classes;
mod continuous;
mod economic;
mod joined;
mod lot_size;
mod newsvendor;
mod periodic;
mod policy;
mod position;
mod record;
mod replay;
mod scope;
mod season;
mod sentence;
mod service;
mod suggestion;
mod terms;

#[cfg(test)]
mod tests;

pub use crate::domain::catalog::Closing;
pub use bought::{Bought, Decision, SeasonBuy};
pub use breaks::{Discount, PriceList, PricedLot, Step};
pub use calendar::{LeadTime, arrival};
pub use cards::{TwoBins, kanban_cards, two_bins};
pub use classes::{Abc, Ranked, XYZ_CUTS, Xyz, rank_by_spend, steadiness};
pub use continuous::{Approximation, ReorderRule, Watched, best_rule_poisson};
pub use economic::{Economy, JointOrder, Lot, joint_order};
pub use joined::{EARLY_DAYS, Joint, JointLine, JointPart, WholeOrder, joint};
pub use lot_size::{LotPlan, Period, plan_cost, silver_meal, wagner_whitin};
pub use newsvendor::{
    OneOff, Stakes, Trade, newsvendor_discrete, newsvendor_normal, newsvendor_poisson,
    newsvendor_profit,
};
pub use periodic::{UpTo, best_up_to_poisson, order_up_to, power_approximation};
pub use policy::{Policy, Rule, Service};
pub use position::{Position, Suggestion, suggest};
pub use record::{
    DiscountWord, Policies, PolicyKind, PolicyRecord, Prices, ServiceLevel, SizedBy, YearDay,
};
pub use replay::{History, Replayed, clairvoyant, replay};
pub use scope::{Scope, UnknownScope};
pub use season::{Compared, SeasonPart};
pub use service::{BaseStock, LeadDemand, ReorderPoint, Supply, base_stock, poisson_reorder_point};
pub use suggestion::{Advice, Binding, PartToOrder, suggestion};
pub use terms::{Limits, Price, Terms};

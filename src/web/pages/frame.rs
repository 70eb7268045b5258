use super::words::{Word, sentence};
use crate::ops::{ScanAnswer, ScanOutcome};

/// What every page behind the sign-in carries around its own content.
#[derive(Debug, Clone, Default)]
pub struct Frame {
    /// The shop's name, as the top bar shows it.
    pub shop: String,
    /// Who is signed in; `None` on the sign-in page and on errors met before it.
    pub person: Option<String>,
    /// The navigation, already filtered by what the person may do.
    pub menu: Vec<MenuItem>,
    /// The token that each form sends back, so that no other site can post in the person's name.
    pub csrf: String,
    /// The key of this view; a form adds its own ending, so that sending it twice moves parts once.
    pub request_key: String,
    /// The mark of the books when a page was asked for that keeps itself up to date.
    pub live: Option<String>,
    /// What the form posted before this page did, in words.
    pub answer: Option<Answer>,
}

/// One entry of the navigation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MenuItem {
    /// Where it leads.
    pub href: &'static str,
    /// The task, in plain words.
    pub words: &'static str,
    /// Whether the page shown belongs to it.
    pub here: bool,
}

/// What the last scan or form did: heard as a tone, read as words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Whether it was done.
    pub outcome: Outcome,
    /// What was done, or why not and what to do instead.
    pub words: String,
}

impl Answer {
    /// Returns the answer to something that was done.
    pub fn done(words: impl Into<String>) -> Self {
        Self { outcome: Outcome::Done, words: sentence(&words.into()) }
    }

    /// Returns the answer to something that is right so far, with what comes next.
    pub fn next(words: impl Into<String>) -> Self {
        Self { outcome: Outcome::Next, words: sentence(&words.into()) }
    }

    /// Returns the answer to something that was refused.
    pub fn refused(words: impl Into<String>) -> Self {
        Self { outcome: Outcome::Refused, words: sentence(&words.into()) }
    }
}

impl From<&ScanAnswer> for Answer {
    fn from(answer: &ScanAnswer) -> Self {
        match answer.outcome {
            ScanOutcome::Ok => Self::done(&answer.words),
            ScanOutcome::Next => Self::next(&answer.words),
            ScanOutcome::Refused => Self::refused(&answer.words),
        }
    }
}

/// Whether a scan or form was carried out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It was carried out.
    Done,
    /// It was right, and one more is needed.
    Next,
    /// Nothing was changed.
    Refused,
}

impl Outcome {
    /// Returns the word that the stylesheet and the scanner script know it by.
    pub const fn name(self) -> Word {
        match self {
            Self::Done | Self::Next => "done",
            Self::Refused => "refused",
        }
    }

    /// Returns the word that leads the answer, so that it is never told by colour alone.
    pub const fn heading(self) -> Word {
        match self {
            Self::Done => "Done",
            Self::Next => "Right",
            Self::Refused => "Not done",
        }
    }
}

/// One choice of a list or of a set of ticks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// What the form sends.
    pub value: String,
    /// What a person reads.
    pub words: String,
    /// Whether it is chosen when the page opens.
    pub chosen: bool,
}

impl Choice {
    /// Returns a choice that is open until somebody takes it.
    pub fn new(value: impl Into<String>, words: impl Into<String>) -> Self {
        Self { value: value.into(), words: words.into(), chosen: false }
    }

    /// Returns the same choice, taken.
    pub fn chosen(self) -> Self {
        Self { chosen: true, ..self }
    }
}

/// A task of the shop, which the navigation names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Task {
    /// What can leave today, and what holds the rest back.
    Today,
    /// Orders and their kits.
    Orders,
    /// Pick lists.
    Pick,
    /// The packing bench.
    Pack,
    /// Bags, sets and cut forks made from stock.
    Make,
    /// Deliveries against purchase orders.
    GoodsIn,
    /// What to order, and how much.
    Reorder,
    /// Purchase orders, late deliveries, and what the stock is worth.
    Purchasing,
    /// Parts, balances and movements.
    Parts,
    /// Bills of materials and their revisions.
    Bills,
    /// Labels to print.
    Labels,
    /// Messages that the shop sends.
    Messages,
    /// People, roles and devices.
    People,
    /// Files from elsewhere.
    Import,
}

impl Task {
    /// Every task, in the order of the navigation.
    pub const ALL: [Self; 14] = [
        Self::Today,
        Self::Orders,
        Self::Pick,
        Self::Pack,
        Self::Make,
        Self::GoodsIn,
        Self::Reorder,
        Self::Purchasing,
        Self::Parts,
        Self::Bills,
        Self::Labels,
        Self::Messages,
        Self::People,
        Self::Import,
    ];

    /// Returns where the task starts.
    pub const fn href(self) -> Word {
        match self {
            Self::Today => "/",
            Self::Orders => "/orders",
            Self::Pick => "/picking",
            Self::Pack => "/packing",
            Self::Make => "/make",
            Self::GoodsIn => "/goods-in",
            Self::Reorder => "/reorder",
            Self::Purchasing => "/purchasing",
            Self::Parts => "/parts",
            Self::Bills => "/bills",
            Self::Labels => "/labels",
            Self::Messages => "/messages",
            Self::People => "/people",
            Self::Import => "/import",
        }
    }

    /// Returns the task in plain words.
    pub const fn words(self) -> Word {
        match self {
            Self::Today => "Today",
            Self::Orders => "Orders",
            Self::Pick => "Pick",
            Self::Pack => "Pack",
            Self::Make => "Make",
            Self::GoodsIn => "Goods in",
            Self::Reorder => "Reorder",
            Self::Purchasing => "Purchase",
            Self::Parts => "Parts",
            Self::Bills => "Bills",
            Self::Labels => "Labels",
            Self::Messages => "Messages",
            Self::People => "People",
            Self::Import => "Import",
        }
    }

    /// Returns the navigation of a person who may do `tasks`, with the place of the page marked.
    pub fn menu(tasks: &[Self], here: Option<Self>) -> Vec<MenuItem> {
        let item = |task: &Self| MenuItem {
            href: task.href(),
            words: task.words(),
            here: here == Some(*task),
        };
        Self::ALL.iter().filter(|task| tasks.contains(task)).map(item).collect()
    }
}

use chrono::{Days, NaiveDate};

use super::calendar::{LeadTime, arrival};
use super::cards::{TwoBins, two_bins};
use super::newsvendor::Stakes;
use super::policy::{Policy, Service};
use super::record::{PolicyKind, PolicyRecord, SizedBy, YearDay};
use super::sentence::percent;
use super::service::Supply;
use super::suggestion::{Advice, PartToOrder, suggestion};
use super::terms::{Limits, Price, Terms};
use crate::domain::catalog::Closing;
use crate::domain::demand::Ahead;
use crate::domain::statistics::{StatisticsError, real, whole_down};
use crate::units::{Money, Quantity};

/// A part as the shop knows it on a day: its stock, its supplier, its policy, and its demand.
#[derive(Debug, Clone)]
pub struct Bought<'a> {
    /// The day.
    pub today: NaiveDate,
    /// How it is bought.
    pub policy: &'a PolicyRecord,
    /// Pieces in bins, by themselves or in what is made of them beyond what is promised.
    pub on_hand: Quantity,
    /// Pieces that open kits still need.
    pub needed: Quantity,
    /// Pieces still to come.
    pub on_order: Quantity,
    /// The catalogue's reorder point and usual order.
    pub set: (Quantity, Quantity),
    /// What a piece costs by the catalogue.
    pub unit_cost: Money,
    /// Pieces in a pack.
    pub pack: Quantity,
    /// The least that the supplier sells at once.
    pub minimum_order: Quantity,
    /// Days of the supplier's work from order to arrival, and their standard deviation.
    pub lead: LeadTime,
    /// When the supplier is closed.
    pub closings: &'a [Closing],
    /// What an order costs whatever its size.
    pub order_cost: Money,
    /// The demand of the months to come.
    pub ahead: &'a Ahead,
    /// How far a month's demand lies from its forecast, in pieces.
    pub month_sd: f64,
}

/// What is decided of a part on a day.
#[derive(Debug, Clone)]
pub struct Decision {
    /// Whether to order, and how many.
    pub advice: Advice,
    /// The part as it was judged.
    pub part: PartToOrder,
    /// The day on which an order of today is expected.
    pub due_on: NaiveDate,
    /// Days until the supply falls to the reorder point; none where nothing is wanted.
    pub days_left: Option<i64>,
    /// How many cards, where there are two bins.
    pub bins: Option<TwoBins>,
    /// The season buy, where that is the policy.
    pub season: Option<SeasonBuy>,
}

/// When a season's one buy is due.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonBuy {
    /// The day on which the season begins.
    pub starts: NaiveDate,
    /// The last day on which an order still comes in time with the level of service.
    pub order_by: NaiveDate,
    /// Whether it is time: from 30 days before the last safe day on.
    pub open: bool,
    /// The chance that an order of today comes too late.
    pub late: f64,
}

/// Served where a policy states no level: common practice, no source.
const USUAL_SERVICE: f64 = 0.95;
/// What keeping a piece for a year costs where nobody states it, in percent of its price: common
/// practice, no source.
const USUAL_HOLDING: i64 = 20;
/// Days before its last safe day from which a season buy is shown.
const SEASON_NOTICE: u64 = 30;
/// Days of a month, on average over four years.
const DAYS_OF_MONTH: f64 = 365.25 / 12.0;

impl Bought<'_> {
    /// Returns what is decided of the part.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is out of range.
    pub fn decide(&self) -> Result<Decision, StatisticsError> {
        let lead_days = whole_down(self.lead.days + 0.5)?;
        let due_on = arrival(self.today, lead_days, self.closings)?;
        let days = (due_on - self.today).num_days();
        let supply = self.supply(days);
        let level = self.level();
        let container = self.policy.container.unwrap_or(self.pack).max(Quantity::ONE);
        let is_bins = self.policy.kind == Some(PolicyKind::TwoBins);
        let bins = is_bins.then(|| two_bins(&supply, level, container)).transpose()?;
        let season = self.season(level)?;
        let policy = self.kind(level, bins, season);
        let part = PartToOrder {
            on_hand: self.on_hand,
            needed: self.needed,
            on_order: self.on_order,
            supply,
            per_year: self.ahead.per_year(),
            policy,
            terms: self.terms(),
            limits: Limits {
                shelf_life_days: self.policy.shelf_life_days,
                cover_days: self.policy.cover_days,
                budget: None,
                room: self.policy.room,
            },
        };
        let mut advice = suggestion(&part)?;
        if let Some(season) = season {
            if !season.open {
                let how = "between two season buys";
                advice.because = advice.because.replacen("(as set)", &format!("({how})"), 1);
                how.clone_into(&mut advice.rule.how);
            }
            advice.because = format!("{} {}", advice.because, season.words(self.today));
        }
        let left = real(advice.supply.less(advice.rule.reorder_point).pieces());
        let rate = self.ahead.rate(self.today, days.max(1));
        let days_left = (0.0 < rate).then(|| whole_down(left / rate)).transpose()?;
        Ok(Decision { advice, part, due_on, days_left, bins, season })
    }

    fn level(&self) -> f64 {
        self.policy.service.map_or(USUAL_SERVICE, super::record::ServiceLevel::share)
    }

    /// Returns the demand of a day that the stock is sized by, and the time until an order comes.
    fn supply(&self, lead_days: i64) -> Supply {
        let review = match self.policy.kind {
            Some(PolicyKind::Review) => self.policy.review_days.unwrap_or(7),
            _ => 0,
        };
        let usual = match self.policy.kind {
            Some(PolicyKind::TwoBins) => SizedBy::Peak,
            _ => SizedBy::Ahead,
        };
        let demand = match self.policy.sized_by.unwrap_or(usual) {
            SizedBy::Ahead => self.ahead.rate(self.today, lead_days.saturating_add(review)),
            SizedBy::Peak => self.ahead.peak().map_or(0.0, |it| it.1),
        };
        let demand_sd = match self.policy.variation_percent {
            Some(percent) => demand * real(percent) / 100.0,
            None => self.month_sd / DAYS_OF_MONTH.sqrt(),
        };
        Supply { demand, demand_sd, lead_time: real(lead_days), lead_time_sd: self.lead.sd }
    }

    fn terms(&self) -> Terms {
        let prices = match self.policy.prices.all() {
            [] if 0 < self.unit_cost.cents() => {
                vec![Price { from: Quantity::ONE, per_thousand: self.unit_cost.times(1000) }]
            }
            prices => prices.to_vec(),
        };
        Terms {
            minimum_order: self.minimum_order,
            pack: self.pack,
            prices,
            discount: self.policy.discount.map(Into::into).unwrap_or_default(),
            order_cost: self.order_cost,
            holding_per_mille: 10 * self.policy.holding_percent.unwrap_or(USUAL_HOLDING),
        }
    }

    fn kind(&self, level: f64, bins: Option<TwoBins>, season: Option<SeasonBuy>) -> Policy {
        let as_set = || Policy::AsSet { reorder_point: self.set.0, order_quantity: self.set.1 };
        match self.policy.kind {
            None | Some(PolicyKind::AsSet) => as_set(),
            Some(PolicyKind::ReorderPoint) => Policy::ReorderPoint(Service::Cycle(level)),
            Some(PolicyKind::FillRate) => Policy::ReorderPoint(Service::Fill(level)),
            Some(PolicyKind::MinMax) => Policy::MinMax {
                minimum: self.policy.minimum.unwrap_or_default(),
                maximum: self.policy.maximum.unwrap_or_default(),
            },
            Some(PolicyKind::Review) => {
                Policy::Review { level, days: self.policy.review_days.unwrap_or(7) }
            }
            Some(PolicyKind::TwoBins) => match bins {
                Some(bins) => Policy::TwoBins { level, bin: bins.bin },
                None => as_set(),
            },
            Some(PolicyKind::OneForOne) => Policy::OneForOne { fill: level },
            Some(PolicyKind::SeasonBuy) => self.season_buy(season),
        }
    }

    /// Returns the season's one buy; before its time, that only what is promised is bought.
    fn season_buy(&self, season: Option<SeasonBuy>) -> Policy {
        let stakes = self.policy.left_over.zip(self.policy.short);
        match (season.filter(|it| it.open), stakes) {
            (Some(season), Some((over, under))) => {
                let end = season.starts.checked_add_days(Days::new(365)).unwrap_or(season.starts);
                let whole = self.ahead.pieces(season.starts, end);
                let sd = match self.policy.variation_percent {
                    Some(percent) => whole * real(percent) / 100.0,
                    None => self.month_sd * 12.0_f64.sqrt(),
                };
                let stakes = Stakes { over: real(over.cents()), under: real(under.cents()) };
                let mean = whole + self.ahead.pieces(self.today, season.starts);
                // What never varies still has a distribution: the narrowest that counts.
                Policy::SeasonBuy { mean, sd: sd.max(1e-6), stakes }
            }
            _ => Policy::AsSet { reorder_point: Quantity::ZERO, order_quantity: Quantity::ZERO },
        }
    }

    fn season(&self, level: f64) -> Result<Option<SeasonBuy>, StatisticsError> {
        let is_season = self.policy.kind == Some(PolicyKind::SeasonBuy);
        let starts = self.policy.season_starts.filter(|_| is_season);
        let Some(starts) = starts.and_then(|it: YearDay| it.on_or_after(self.today)) else {
            return Ok(None);
        };
        let order_by = self.lead.last_day_to_order(starts, level, self.closings)?;
        let notice = order_by.checked_sub_days(Days::new(SEASON_NOTICE)).unwrap_or(order_by);
        let late = self.lead.chance_of_being_late(self.today, starts, self.closings)?;
        Ok(Some(SeasonBuy { starts, order_by, open: notice <= self.today, late }))
    }
}

impl SeasonBuy {
    /// Returns when it is due, and how likely an order of today is late, in a sentence.
    pub fn words(&self, today: NaiveDate) -> String {
        let Self { starts, order_by, open, late } = self;
        if !open {
            return format!("The buy for the season of {starts} is due by {order_by}.");
        }
        let due = if *order_by < today { "was" } else { "is" };
        let late = percent((late * 100.0).round() / 100.0);
        format!(
            "The last safe day for the season of {starts} {due} {order_by}; an order of today \
             comes too late with a chance of {late}."
        )
    }
}

impl Decision {
    /// Returns what would be ordered if the supply stood at the reorder point already.
    ///
    /// # Errors
    ///
    /// [`StatisticsError`] when a figure is out of range.
    pub fn at_its_card(&self) -> Result<Advice, StatisticsError> {
        let above = self.advice.supply.less(self.advice.rule.reorder_point).at_least_zero();
        let on_hand = self.part.on_hand.less(above);
        suggestion(&PartToOrder { on_hand, ..self.part.clone() })
    }
}

use chrono::NaiveDate;

/// One day of a walk, in whole pieces; a level below zero is what is wanted and not there.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Walked {
    /// Came in the morning.
    pub arrived: i64,
    /// The level after that.
    pub morning: i64,
    /// The level when the day's wants are served.
    pub evening: i64,
    /// Past their last day of use when the day ends.
    pub expired: i64,
    /// The level with which the next day begins.
    pub night: i64,
}

/// Returns the days of a walk: what arrives is there in the morning, what is wanted takes the pieces
/// that expire first, and what is still there on its last day is gone when that day ends. What can't
/// be served waits, and takes the next pieces that come.
///
/// `wanted` holds the pieces wanted from the first day to the end of each; `arrivals` the day's place
/// and how many.
pub(super) fn walk(
    days: &[NaiveDate],
    batches: &[(Option<NaiveDate>, i64)],
    arrivals: &[(usize, i64)],
    wanted: &[i64],
) -> Vec<Walked> {
    let mut batches: Vec<(Option<NaiveDate>, i64)> = batches.to_vec();
    // What never expires is used last.
    batches.sort_by_key(|it| (it.0.is_none(), it.0));
    let (mut waiting, mut before) = (0, 0);
    let mut walked = Vec::with_capacity(days.len());
    for (at, (day, until)) in days.iter().zip(wanted).enumerate() {
        let there: i64 = batches.iter().map(|it| it.1).sum();
        let arrived = arrivals.iter().filter(|it| it.0 == at).map(|it| it.1).sum();
        let morning = there + arrived - waiting;
        if 0 < arrived {
            batches.push((None, arrived));
        }
        waiting += until - before;
        before = *until;
        let usable = batches.iter_mut().filter(|it| it.0.is_none_or(|last| *day <= last));
        for (_, left) in usable {
            let taken = waiting.min(*left);
            *left -= taken;
            waiting -= taken;
        }
        let there: i64 = batches.iter().map(|it| it.1).sum();
        let evening = there - waiting;
        let is_over = |it: &(Option<NaiveDate>, i64)| it.0.is_some_and(|last| last <= *day);
        let expired = batches.iter().filter(|it| is_over(it)).map(|it| it.1).sum::<i64>();
        batches.retain(|it| !is_over(it) && 0 < it.1);
        walked.push(Walked { arrived, morning, evening, expired, night: evening - expired });
    }
    walked
}

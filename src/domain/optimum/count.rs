use super::problem::Problem;

/// The most choices of which all sets are counted.
const MOST: usize = 20;

/// Returns how many choices keep the limits and are worth exactly `worth` in the first stage;
/// `None` where there are too many to count.
pub fn count_worth(problem: &Problem, worth: i64) -> Option<u64> {
    if MOST < problem.choices {
        return None;
    }
    let mut columns: Vec<Vec<i64>> = vec![vec![0; problem.limits.len()]; problem.choices];
    for (row, limit) in problem.limits.iter().enumerate() {
        for (choice, amount) in &limit.takes {
            *columns.get_mut(*choice)?.get_mut(row)? += amount;
        }
    }
    let left: Vec<i64> = problem.limits.iter().map(|it| it.most).collect();
    let values = problem.stages.first()?;
    Some(count(&columns, values, &left, worth))
}

fn count(columns: &[Vec<i64>], values: &[i64], left: &[i64], worth: i64) -> u64 {
    let (Some((takes, columns)), Some((value, values))) =
        (columns.split_first(), values.split_first())
    else {
        return u64::from(worth == 0);
    };
    if worth < 0 || value + values.iter().sum::<i64>() < worth {
        return 0;
    }
    let without = count(columns, values, left, worth);
    let rest: Vec<i64> = left.iter().zip(takes).map(|it| it.0 - it.1).collect();
    let with = if rest.iter().all(|it| 0 <= *it) {
        count(columns, values, &rest, worth - value)
    } else {
        0
    };
    without + with
}

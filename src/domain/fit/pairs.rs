use super::{Finding, Rule};

/// Returns whether there are as many of one side as of the other, and as many pairs as are wanted.
pub fn pairs(what: &str, sides: [(&str, i64); 2], wanted: Option<i64>) -> Finding {
    let [(one, left), (two, right)] = sides;
    let found = format!("{what}: {left} {one}, {right} {two}");
    let wanted = wanted.unwrap_or_else(|| left.max(right).max(1));
    let fits = left == wanted && right == wanted;
    let reason = match fits {
        true => found,
        false => format!("{found}; {wanted} of each are wanted"),
    };
    Finding::of(Rule::Pairs, fits, reason)
}

/// Returns whether all pieces that must be alike are, such as the bumpers of one bike.
///
/// `kinds` are the kinds found, such as hardnesses, with how many there are of each.
pub fn alike(what: &str, kinds: &[(String, i64)]) -> Finding {
    let words: Vec<String> =
        kinds.iter().map(|(kind, count)| format!("{count} × {kind}")).collect();
    let fits = kinds.len() == 1;
    let reason = match fits {
        true => format!("{what}: {}", words.join(", ")),
        false => format!("{what}: {}; all must be of one kind", words.join(", ")),
    };
    Finding::of(Rule::Pairs, fits, reason)
}

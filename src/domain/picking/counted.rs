use crate::units::Quantity;

/// How many pieces a person has in hand, by a count that was entered or by the label scanned.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counted {
    /// What was entered; it wins over the label.
    pub entered: Option<Quantity>,
    /// What the label states to be in the bag or box that it is on.
    pub stated: Option<Quantity>,
}

impl Counted {
    /// Returns how many pieces move where `wanted` are wanted; `None` where nobody says.
    ///
    /// A label never moves more than is wanted: a box of 100 serves a kit that takes 8. What a
    /// person enters is left as it is, so that too many can be refused.
    pub fn of(self, wanted: Quantity) -> Option<Quantity> {
        self.entered.or_else(|| self.stated.map(|it| it.min(wanted)))
    }

    /// Returns what to say of the label where it set the quantity, or would have set too much;
    /// empty otherwise.
    pub fn words(self, moved: Quantity) -> String {
        match (self.entered, self.stated) {
            (None, Some(stated)) if moved < stated => {
                format!(
                    "; the label states {stated}, and {moved} is all that was wanted: put the rest back"
                )
            }
            (None, Some(_)) => "; as many as the label states".to_owned(),
            (Some(_), _) | (None, None) => String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(entered: Option<i64>, stated: Option<i64>, wanted: i64, moved: i64, words: &str) {
        let counted =
            Counted { entered: entered.map(Quantity::new), stated: stated.map(Quantity::new) };
        let moves = counted.of(Quantity::new(wanted)).unwrap_or(Quantity::new(wanted));
        assert_eq!((moves, counted.words(moves).as_str()), (Quantity::new(moved), words));
    }

    #[test]
    fn a_label_sets_the_quantity_and_never_more_than_is_wanted() {
        let rest = "; the label states 9, and 8 is all that was wanted: put the rest back";
        check(None, None, 8, 8, "");
        check(None, Some(7), 8, 7, "; as many as the label states");
        check(None, Some(8), 8, 8, "; as many as the label states");
        check(None, Some(9), 8, 8, rest);
        check(Some(3), Some(7), 8, 3, "");
        check(Some(9), Some(7), 8, 9, "");
    }
}

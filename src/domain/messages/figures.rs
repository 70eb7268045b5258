//! Messages about the measures of a kit's own parts.

use super::Language;

impl Language {
    /// Returns the sum of the spacers; `sum` is "20 + 5 = 25 mm".
    pub fn spacer_sum(self, sum: &str) -> String {
        match self {
            Self::En => format!("Spacers: {sum}."),
            Self::De => format!("Distanzringe: {sum}."),
            Self::Fr => format!("Entretoises\u{a0}: {sum}."),
        }
    }

    /// Returns how far the steerer stands above the dust cover, and what of it the spacers meet.
    pub fn steerer_exposed(self, above: &str, stem: &str, exposure: &str) -> String {
        match self {
            Self::En => format!(
                "The steerer ends {above} above the dust cover, which is {exposure} more than the stem's {stem}."
            ),
            Self::De => format!(
                "Der Gabelschaft endet {above} über der Abdeckung, das sind {exposure} mehr als die {stem} des Vorbaus."
            ),
            Self::Fr => format!(
                "Le pivot dépasse le cache de {above}, soit {exposure} de plus que les {stem} de la potence."
            ),
        }
    }

    /// Returns what stays free under the cap; `sum` is "36 mm − 32.5 mm = 3.5 mm".
    pub fn free_under_cap(self, sum: &str) -> String {
        match self {
            Self::En => format!("Free under the cap: {sum}; wanted 2 to 5 mm."),
            Self::De => format!("Frei unter der Kappe: {sum}; gewünscht 2 bis 5 mm."),
            Self::Fr => format!("Jeu sous le capuchon\u{a0}: {sum}\u{202f}; voulu 2 à 5 mm."),
        }
    }

    /// Returns within which limits the gap is expected, and how the tolerances were added up.
    pub fn gap_expected(self, low: &str, high: &str, worst: &str) -> String {
        match self {
            Self::En => format!(
                "To be expected: {low} to {high}, tolerances added as root of squares (all at their worst: ± {worst}). Outside 2 to 5 mm, stop and ask us."
            ),
            Self::De => format!(
                "Zu erwarten: {low} bis {high}, Toleranzen als Wurzel der Quadrate addiert (alle am ungünstigsten: ± {worst}). Außerhalb von 2 bis 5 mm: aufhören und uns fragen."
            ),
            Self::Fr => format!(
                "À prévoir\u{a0}: {low} à {high}, tolérances en somme quadratique (toutes au pire\u{a0}: ± {worst}). Hors de 2 à 5 mm, arrêtez-vous et demandez-nous."
            ),
        }
    }

    /// Returns how far a screw reaches into its insert; `sum` is "14 mm − 5 mm (plate) = 9 mm".
    pub fn in_the_insert(self, sum: &str) -> String {
        match self {
            Self::En => format!("In the insert: {sum}."),
            Self::De => format!("Im Gewindeeinsatz: {sum}."),
            Self::Fr => format!("Dans l'insert\u{a0}: {sum}."),
        }
    }

    /// Returns what must be in the insert, and what stays free before the screw bottoms out.
    pub fn before_bottom(self, least: &str, depth: &str, room: &str) -> String {
        match self {
            Self::En => format!(
                "At least {least} must be in; the insert can be used to {depth}, so {room} is left before the screw bottoms out."
            ),
            Self::De => format!(
                "Mindestens {least} müssen greifen; der Einsatz ist bis {depth} nutzbar, also bleiben {room}, bevor die Schraube am Grund aufsitzt."
            ),
            Self::Fr => format!(
                "Il en faut au moins {least}\u{202f}; l'insert est utilisable jusqu'à {depth}, il reste donc {room} avant que la vis ne touche le fond."
            ),
        }
    }

    /// Returns that a part stands in for another that the bill of materials asks for.
    pub fn stands_in_for(self, part: &str) -> String {
        match self {
            Self::En => format!("stands in for {part}"),
            Self::De => format!("statt {part}"),
            Self::Fr => format!("remplace {part}"),
        }
    }
}

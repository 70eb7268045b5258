//! Messages with arguments.

use super::{Language, in_manner_of};

impl Language {
    /// Returns "Step 3".
    pub fn step(self, number: u32) -> String {
        match self {
            Self::En => format!("Step {number}"),
            Self::De => format!("Schritt {number}"),
            Self::Fr => format!("Étape {number}"),
        }
    }

    /// Returns the head of a step that goes on from the page before.
    pub fn continued(self, title: &str) -> String {
        match self {
            Self::En => format!("{title} (continued)"),
            Self::De => format!("{title} (Fortsetzung)"),
            Self::Fr => format!("{title} (suite)"),
        }
    }

    /// Returns the foot of a page: which of how many.
    pub fn page_of(self, page: usize, pages: usize) -> String {
        match self {
            Self::En => format!("page {page} of {pages}"),
            Self::De => format!("Seite {page} von {pages}"),
            Self::Fr => format!("page {page} sur {pages}"),
        }
    }

    /// Returns the card's name with the kit that it belongs to.
    pub fn card_of_kit(self, kit: &str) -> String {
        let card = self.assembly_card();
        match self {
            Self::En => format!("{card}, kit {kit}"),
            Self::De => format!("{card}, Bausatz {kit}"),
            Self::Fr => format!("{card}, ensemble {kit}"),
        }
    }

    /// Returns that a part lies in that bag.
    pub fn in_bag(self, bag: &str) -> String {
        match self {
            Self::En | Self::De => format!("in {bag}"),
            Self::Fr => format!("dans {bag}"),
        }
    }

    /// Returns that a part comes out of that bag.
    pub fn from_bag(self, bag: &str) -> String {
        match self {
            Self::En => format!("from {bag}"),
            Self::De => format!("aus {bag}"),
            Self::Fr => format!("du {bag}"),
        }
    }

    /// Returns for which step a part of a bag is.
    pub fn for_step(self, number: u32) -> String {
        match self {
            Self::En => format!("for step {number}"),
            Self::De => format!("für Schritt {number}"),
            Self::Fr => format!("pour l'étape {number}"),
        }
    }

    /// Returns in which box a part lies.
    pub fn in_box(self, number: u32) -> String {
        match self {
            Self::En => format!("in box {number}"),
            Self::De => format!("in Schachtel {number}"),
            Self::Fr => format!("dans le colis {number}"),
        }
    }

    /// Returns in how many boxes a kit comes; nothing before it is packed.
    pub fn comes_in(self, boxes: u32) -> String {
        match (self, boxes) {
            (_, 0) => String::new(),
            (Self::En, 1) => "It comes in one box.".to_owned(),
            (Self::En, _) => format!("It comes in {boxes} boxes."),
            (Self::De, 1) => "Es kommt in einer Schachtel.".to_owned(),
            (Self::De, _) => format!("Es kommt in {boxes} Schachteln."),
            (Self::Fr, 1) => "Il arrive en un seul colis.".to_owned(),
            (Self::Fr, _) => format!("Il arrive en {boxes} colis."),
        }
    }

    /// Returns how many bolts a joint has.
    pub fn bolts(self, count: u32) -> String {
        match (self, count) {
            (Self::En, 1) => "1 bolt".to_owned(),
            (Self::En, _) => format!("{count} bolts"),
            (Self::De, 1) => "1 Schraube".to_owned(),
            (Self::De, _) => format!("{count} Schrauben"),
            (Self::Fr, _) => format!("{count} vis"),
        }
    }

    /// Returns a torque that must not be passed, and has no target.
    pub fn at_most(self, amount: &str) -> String {
        match self {
            Self::En => format!("at most {amount}"),
            Self::De => format!("höchstens {amount}"),
            Self::Fr => format!("au plus {amount}"),
        }
    }

    /// Returns how often a part was reported missing or damaged, in words.
    pub fn reported_part(self, count: &str, part: &str, is_damaged: bool) -> String {
        let word = if is_damaged { self.damaged() } else { self.missing() };
        format!("{count} × {part}{}{}", self.colon(), word.to_lowercase())
    }

    /// Returns that everything of a step is there.
    pub fn step_all_here(self, number: u32) -> String {
        match self {
            Self::En => format!("Step {number} is all here."),
            Self::De => format!("Bei Schritt {number} ist alles da."),
            Self::Fr => format!("Étape {number}\u{a0}: tout est là."),
        }
    }

    /// Returns that the shop knows of what is wrong at a step.
    pub fn shop_knows(self, number: u32) -> String {
        match self {
            Self::En => format!("The shop knows what is wrong at step {number}."),
            Self::De => format!("Die Werkstatt weiß, was bei Schritt {number} nicht stimmt."),
            Self::Fr => format!("L'atelier sait ce qui ne va pas à l'étape {number}."),
        }
    }

    /// Returns how much of a step is confirmed, for who hears the page instead of seeing it.
    pub fn strip_cell(self, step: &str, done: &str, total: &str) -> String {
        match self {
            Self::En => format!("{step}: {done} of {total} pieces confirmed"),
            Self::De => format!("{step}: {done} von {total} Stück bestätigt"),
            Self::Fr => format!("{step}\u{a0}: {done} sur {total} pièces confirmées"),
        }
    }

    /// Returns which number to give when asking about a box.
    pub fn give_number(self, shop: &str, kit: &str) -> String {
        match self {
            Self::En => format!("When you ask {shop} about this box, give the number {kit}."),
            Self::De => {
                format!("Wenn Sie {shop} zu dieser Schachtel fragen, nennen Sie die Nummer {kit}.")
            }
            Self::Fr => {
                format!("Pour toute question à {shop} sur ce colis, indiquez le numéro {kit}.")
            }
        }
    }

    /// Returns where to tell the shop that a part is missing.
    pub fn tell_on_page(self, shop: &str, kit: &str) -> String {
        match self {
            Self::En => format!(
                "Tell {shop} on the page that the code opens, with no account; the kit's number is {kit}."
            ),
            Self::De => format!(
                "Melden Sie es {shop} auf der Seite, die der Code öffnet, ohne Konto; die Nummer des Bausatzes ist {kit}."
            ),
            Self::Fr => format!(
                "Signalez-le à {shop} sur la page qu'ouvre le code, sans compte\u{202f}; le numéro de l'ensemble est {kit}."
            ),
        }
    }

    /// Returns the bill of materials by which a card was made.
    pub fn by_bill(self, code: &str, revision: &str) -> String {
        match self {
            Self::En => format!("Bill of materials {code}, revision {revision}"),
            Self::De => format!("Stückliste {code}, Ausgabe {revision}"),
            Self::Fr => format!("Nomenclature {code}, révision {revision}"),
        }
    }

    /// Returns when a card was printed.
    pub fn printed_on(self, day: &str) -> String {
        match self {
            Self::En => format!("printed on {day}"),
            Self::De => format!("gedruckt am {day}"),
            Self::Fr => format!("imprimé le {day}"),
        }
    }

    /// Returns the joints that the kit's preset key suits, and that the others need another wrench.
    pub fn preset_covers(self, key: &str, torque: &str, covered: &str) -> String {
        let torque = in_manner_of(self, torque);
        match self {
            Self::En => format!(
                "The {key} in this kit ({torque}) suits only: {covered}. For every other joint use a torque wrench of its range."
            ),
            Self::De => format!(
                "{key} in diesem Bausatz ({torque}) passt nur für: {covered}. Für jede andere Verbindung brauchen Sie einen Drehmomentschlüssel mit deren Bereich."
            ),
            Self::Fr => format!(
                "{key} de ce kit ({torque}) ne convient que pour\u{a0}: {covered}. Pour tout autre assemblage, prenez une clé dynamométrique de sa plage."
            ),
        }
    }

    /// Returns what to pump for a rider's weight.
    pub fn pressure_for(self, weight: &str, pressure: &str) -> String {
        match self {
            Self::En => format!("For {weight}: {pressure}"),
            Self::De => format!("Für {weight}: {pressure}"),
            Self::Fr => format!("Pour {weight}\u{a0}: {pressure}"),
        }
    }

    /// Returns the window in which a seat post may stand out of the frame.
    pub fn post_window(self, lowest: &str, highest: &str) -> String {
        let (lowest, highest) = (in_manner_of(self, lowest), in_manner_of(self, highest));
        match self {
            Self::En => format!("Post out of the frame: from {lowest} to {highest}."),
            Self::De => format!("Stütze außerhalb des Rahmens: von {lowest} bis {highest}."),
            Self::Fr => format!("Tige hors du cadre\u{a0}: de {lowest} à {highest}."),
        }
    }
}

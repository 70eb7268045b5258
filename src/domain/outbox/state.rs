use std::fmt;
use std::str::FromStr;

/// How a message stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MessageState {
    /// It is still to be sent, and for all that is known nobody has it.
    Waiting,
    /// It is being sent.
    Sending,
    /// The other side has taken it.
    Sent,
    /// The other side may have taken it: nobody knows until a person has asked.
    Unsure,
    /// It was not taken, and is sent again only when a person asks for that.
    Failed,
    /// A person gave it up before it was sent.
    GivenUp,
}

impl MessageState {
    /// Every state.
    pub const ALL: [Self; 6] =
        [Self::Waiting, Self::Sending, Self::Sent, Self::Unsure, Self::Failed, Self::GivenUp];

    /// Returns the word that is stored.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Sending => "sending",
            Self::Sent => "sent",
            Self::Unsure => "unsure",
            Self::Failed => "failed",
            Self::GivenUp => "given-up",
        }
    }

    /// Returns what a person reads.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Sending => "being sent",
            Self::Sent => "sent",
            Self::Unsure => "may have been sent",
            Self::Failed => "failed",
            Self::GivenUp => "given up",
        }
    }

    /// Returns whether nothing more comes of it by itself, and nobody has to say anything.
    pub const fn is_over(self) -> bool {
        matches!(self, Self::Sent | Self::Failed | Self::GivenUp)
    }
}

impl FromStr for MessageState {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let found = Self::ALL.into_iter().find(|it| it.word() == word);
        found.ok_or_else(|| format!("'{word}' is no state of a message"))
    }
}

/// How a message travels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Channel {
    /// E-mail, by the shop's mail server.
    Mail,
    /// A post to the address of another program, which knows a message again by its number.
    Webhook,
}

impl Channel {
    /// Returns the word that is stored.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mail => "mail",
            Self::Webhook => "webhook",
        }
    }

    /// Returns what a person reads.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mail => "e-mail",
            Self::Webhook => "webhook",
        }
    }
}

impl FromStr for Channel {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let found = [Self::Mail, Self::Webhook].into_iter().find(|it| it.word() == word);
        found.ok_or_else(|| format!("'{word}' is no way to send a message: take mail or webhook"))
    }
}

/// What a message is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum About {
    /// Parts that kits lack.
    Alerts,
    /// A purchase order, by its number.
    PurchaseOrder(String),
    /// Nothing: somebody wanted to see whether messages arrive.
    Trial,
}

impl fmt::Display for About {
    /// Writes it as it is stored and read: "purchase order PO-26-162".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Alerts => f.write_str("missing parts"),
            Self::PurchaseOrder(number) => write!(f, "purchase order {number}"),
            Self::Trial => f.write_str("trial"),
        }
    }
}

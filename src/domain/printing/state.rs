use std::str::FromStr;

/// How a job in the print queue stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobState {
    /// It is still to be sent, and nothing of it has been.
    Waiting,
    /// It is being sent.
    Sending,
    /// The printer has it and has not finished.
    Taken,
    /// It is on paper: the printer says so, or a person.
    Printed,
    /// It may have printed: nobody knows until a person has looked.
    Unsure,
    /// It was not printed, or not whole, and is sent again only when a person asks for that.
    Failed,
    /// A person took it back.
    Cancelled,
}

impl JobState {
    /// Every state.
    pub const ALL: [Self; 7] = [
        Self::Waiting,
        Self::Sending,
        Self::Taken,
        Self::Printed,
        Self::Unsure,
        Self::Failed,
        Self::Cancelled,
    ];

    /// Returns the word that is stored.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Sending => "sending",
            Self::Taken => "taken",
            Self::Printed => "printed",
            Self::Unsure => "unsure",
            Self::Failed => "failed",
            Self::Cancelled => "cancelled",
        }
    }

    /// Returns what a person reads.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Sending => "being sent",
            Self::Taken => "sent",
            Self::Printed => "printed",
            Self::Unsure => "may have printed",
            Self::Failed => "failed",
            Self::Cancelled => "cancelled",
        }
    }

    /// Returns whether nothing more comes of the job by itself, and nobody has to say anything.
    pub const fn is_over(self) -> bool {
        matches!(self, Self::Printed | Self::Failed | Self::Cancelled)
    }

    /// Returns whether a paper of the job exists or is about to.
    pub const fn is_or_will_be_on_paper(self) -> bool {
        !matches!(self, Self::Failed | Self::Cancelled)
    }
}

impl FromStr for JobState {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let found = Self::ALL.into_iter().find(|it| it.word() == word);
        found.ok_or_else(|| format!("'{word}' is no state of a print job"))
    }
}

//! Metric screws: threads, strength, and how torque and preload belong together.

mod class;
mod preload;
mod thread;

pub use class::PropertyClass;
pub use preload::{preload_of, share_of_proof, torque_of};
pub use thread::{MetricThread, StressArea};

/// Why a screw can't be computed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FastenerError {
    /// The designation is not understood.
    #[error("'{text}' is no metric thread: write M6, M8×1 or M5×0.8×18")]
    Designation {
        /// The designation as it was given.
        text: String,
    },
    /// The diameter has no coarse pitch, so the pitch has to be named.
    #[error("M{diameter} has no coarse pitch in ISO 261: write its pitch too, as in M{diameter}×1")]
    NoCoarsePitch {
        /// The diameter in mm.
        diameter: String,
    },
    /// The pitch can't belong to the diameter.
    #[error("a pitch of {pitch} does not belong to {thread}: there it is at most {most}")]
    Pitch {
        /// The pitch.
        pitch: String,
        /// The thread.
        thread: String,
        /// The coarsest pitch.
        most: String,
    },
    /// The screw would be shorter than one turn of its thread.
    #[error("a length of {length} is no more than the pitch of {pitch}: write the length in mm")]
    Length {
        /// The length.
        length: String,
        /// The pitch.
        pitch: String,
    },
    /// There is no such property class.
    #[error("'{text}' is no property class known here: take {}", PropertyClass::names())]
    Class {
        /// The class as it was given.
        text: String,
    },
    /// The class is not made in that size.
    #[error("property class {class} is not made for {thread}: ISO 898-1 has it up to M16")]
    ClassSize {
        /// The class.
        class: &'static str,
        /// The thread.
        thread: String,
    },
    /// The numbers are too large or too fine to be computed exactly, or zero.
    #[error("these numbers are too large or too fine to be computed exactly, or one is zero")]
    Numbers,
}

impl FastenerError {
    /// Returns the code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Designation { .. } => "fastener.thread",
            Self::NoCoarsePitch { .. } => "fastener.coarse_pitch",
            Self::Pitch { .. } => "fastener.pitch",
            Self::Length { .. } => "fastener.length",
            Self::Class { .. } => "fastener.class",
            Self::ClassSize { .. } => "fastener.class_size",
            Self::Numbers => "fastener.numbers",
        }
    }
}

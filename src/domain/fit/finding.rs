use std::fmt;

/// What a rule says of the parts that were put to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// They go together.
    Fits,
    /// They do not go together.
    DoesNotFit,
    /// A measure is missing that the rule needs.
    NotKnown,
}

impl Verdict {
    /// Returns the verdict of a comparison.
    pub const fn of(fits: bool) -> Self {
        if fits { Self::Fits } else { Self::DoesNotFit }
    }

    /// Returns the verdict in words, as pages and answers say it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::DoesNotFit => "does not fit",
            Self::NotKnown => "not known",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// One rule's answer: the verdict, why, and by whose word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The rule that was asked.
    pub rule: Rule,
    /// What it says.
    pub verdict: Verdict,
    /// Why, with the measures and their units.
    pub reason: String,
}

impl Finding {
    /// Returns an answer.
    pub fn new(rule: Rule, verdict: Verdict, reason: impl Into<String>) -> Self {
        Self { rule, verdict, reason: reason.into() }
    }

    /// Returns the answer of a comparison.
    pub fn of(rule: Rule, fits: bool, reason: impl Into<String>) -> Self {
        Self::new(rule, Verdict::of(fits), reason)
    }

    /// Returns the answer where a measure is missing.
    pub fn not_known(rule: Rule, missing: impl Into<String>) -> Self {
        Self::new(rule, Verdict::NotKnown, missing)
    }
}

/// Defines the rules: each with its name and with the source of its numbers.
macro_rules! rules {
    ($($(#[$doc:meta])* $rule:ident: $name:literal, $source:expr;)*) => {
        /// A rule of fit, in the order in which a kit is judged: from the frame outwards, along the
        /// steps of assembly.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Rule {
            $($(#[$doc])* $rule,)*
        }

        impl Rule {
            /// Returns all rules in order.
            pub const ALL: &'static [Self] = &[$(Self::$rule,)*];

            /// Returns the rule's name.
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$rule => $name,)*
                }
            }

            /// Returns where the rule and its numbers come from.
            pub const fn source(self) -> &'static str {
                match self {
                    $(Self::$rule => $source,)*
                }
            }
        }
    };
}

/// The headset identification scheme.
const SCHEME: &str = "headset identification scheme (SHIS), as published in 2011";
const PRACTICE: &str = "common practice, no source; the makers' drawings decide";
const CLAMPS: &str = "clamp and tube have one nominal diameter: 28.6 mm is 1 1/8 in, bars 25.4 and \
                      31.8 mm (public size pages); 35.0 mm bars and posts 27.2, 30.9, 31.6 mm from \
                      memory, unconfirmed";

rules! {
    /// The bore of the head tube lies within the limits of its code.
    Bore: "head-tube bore",
        "head-tube specification guide, rev. B, 2009; ed. 2010 for the 1 inch JIS bore";
    /// The cup is larger than the bore by as much as a press fit needs.
    CupInterference: "cup press fit",
        "headset identification guide, rev. F+, 2010, title drawing; head-tube guide for the bore";
    /// The frame's bores are those of the headset's code.
    FrameHeadset: "frame bores and headset code", SCHEME;
    /// The fork's steerer and crown seat are those of the headset's code.
    ForkHeadset: "fork and headset code",
        "headset identification scheme (SHIS), as published in 2011; crown seats 26.4, 27.0, 30.0, \
         33.0, 39.8 mm behind the nominal 26, 27, 30, 33, 40 from memory, unconfirmed";
    /// The eye-to-eye length and the stroke of the shock are the frame's.
    Shock: "shock length and stroke", PRACTICE;
    /// The bushing is as wide as the mount, and its bore takes the bolt.
    Bushing: "shock bushing", PRACTICE;
    /// The seat post has the diameter of the seat tube.
    SeatPost: "seat post and seat tube", CLAMPS;
    /// The seat clamp has the diameter of the seat tube's outside.
    SeatClamp: "seat clamp and seat tube", CLAMPS;
    /// The post reaches deep enough, and not so deep that it meets the bottom.
    Insertion: "seat post insertion",
        "common practice: at least 90 mm in and 25 mm below the top-tube joint; a mark or a number \
         of the maker's goes first";
    /// The mark on the post lies two diameters or more above its end.
    PostMark: "seat post mark", "16 CFR 1512.15";
    /// The saddle comes low enough for a chairlift's seat.
    LiftHeight: "saddle height on a lift",
        "508 mm (20 in): common practice, no source; the lift operator decides";
    /// The fork that was cut has the steerer and crown seat of the one that it is cut from.
    CutFork: "cut fork and its uncut fork", PRACTICE;
    /// The crown race has the diameter of the fork's crown seat.
    CrownRace: "crown race and crown seat",
        "headset identification scheme (SHIS), as published in 2011; crown seats in mm from \
         memory, unconfirmed";
    /// The bearing's bore, outside and angles are those of what it lies in and on.
    Bearing: "bearing and its seats",
        "a 36 degree face does not sit flush in a 45 degree one (public bearing pages); bearing \
         sizes as the makers state them";
    /// The steerer passes through ring, spacers, stem and cap of its own diameter.
    Steerer: "steerer and what it carries", CLAMPS;
    /// The clearance under the top cap lies within its limits.
    Clearance: "clearance under the top cap",
        "ISO 4210-2, 4.7.4: at most 5 mm; at least 2 mm is common practice, no source";
    /// The steerer's length is the sum of what it carries less the clearance.
    SteererLength: "steerer length",
        "lower + upper stack + stem + head tube + spacers - 3 mm, a maker's rule as worked in a \
         public build report of 2008; 2 to 5 mm is common practice, no source";
    /// The spacers below the stem are no higher than the fork's maker allows.
    SpacerHeight: "height of the spacers", "the fork maker's limit";
    /// The handlebar has the diameter of the stem's clamp.
    Bar: "stem and handlebar", CLAMPS;
    /// The bolt's thread is the thread that it goes into.
    Thread: "thread and thread", "ISO 261: diameter and pitch must both agree";
    /// The axle has the diameter of the mount's pivot.
    Pivot: "pivot axle and ski mount", PRACTICE;
    /// The holes of mount and ski lie the same distances apart.
    Holes: "holes of mount and ski", PRACTICE;
    /// The screw reaches deep enough into its insert, and not to its bottom.
    Engagement: "screw in its insert",
        "at least one diameter in steel: rule of thumb in public engineering pages; the usable \
         depth is the maker's";
    /// What comes left and right, or front and rear, is complete and matched.
    Pairs: "pairs", PRACTICE;
    /// The paper in the box is of the model in the box.
    Papers: "papers of the model", "common practice, no source; each maker's sheet names its model";
}

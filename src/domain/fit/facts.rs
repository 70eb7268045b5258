use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use super::{FitError, HeadsetCode, HeadsetType};
use crate::domain::fasteners::MetricThread;
use crate::units::{Angle, Length, StatedLength};

/// Defines the names of facts: each with the word that files hold, and what its value is.
macro_rules! facts {
    ($($name:ident = $word:literal, $kind:ident, $doc:literal;)*) => {
        /// The name of a fact about a part: what is stated, and so in which unit.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum FactName {
            $(#[doc = $doc] $name,)*
        }

        impl FactName {
            /// Returns all names in order.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// Returns the word that files hold.
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$name => $word,)*
                }
            }

            /// Returns what the fact is, in words.
            pub const fn meaning(self) -> &'static str {
                match self {
                    $(Self::$name => $doc,)*
                }
            }

            /// Returns the unit that the books keep it in; empty where it is no measure.
            pub const fn unit(self) -> &'static str {
                match self.kind() {
                    Kind::Mm => "mm",
                    Kind::Degrees => "°",
                    Kind::Pieces => "pieces",
                    Kind::Role | Kind::Thread | Kind::Headset | Kind::Type | Kind::Text => "",
                }
            }

            /// Returns the only texts that its value may be; none where there are others.
            pub fn choices(self) -> Vec<&'static str> {
                match self.kind() {
                    Kind::Role => Role::ALL.iter().map(|it| it.words()).collect(),
                    Kind::Type => HeadsetType::ALL.into_iter().map(HeadsetType::letters).collect(),
                    _ => words(self).to_vec(),
                }
            }

            const fn kind(self) -> Kind {
                match self {
                    $(Self::$name => Kind::$kind,)*
                }
            }
        }
    };
}

/// What the value of a fact is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Role,
    Mm,
    Degrees,
    Pieces,
    Thread,
    Headset,
    Type,
    Text,
}

facts! {
    Role = "role", Role, "what the part is in a bike";
    Model = "model", Text, "the model that it is, or is for";
    Side = "side", Text, "left or right";
    Position = "position", Text, "front or rear";
    Hardness = "hardness", Text, "how hard it is";
    Headset = "headset", Headset, "the code of the headset";
    UpperType = "upper_type", Type, "how the headset sits at the upper end";
    LowerType = "lower_type", Type, "how the headset sits at the lower end";
    BoreUpper = "bore_upper", Mm, "the nominal upper bore of the head tube";
    BoreLower = "bore_lower", Mm, "the nominal lower bore of the head tube";
    CupUpper = "cup_upper", Mm, "the bearing that the upper cup takes";
    CupLower = "cup_lower", Mm, "the bearing that the lower cup takes";
    CupAngle = "cup_angle", Degrees, "the angle of the cups";
    HeadTube = "head_tube", Mm, "the length of the head tube";
    HeadTubeTolerance = "head_tube_tolerance", Mm, "how far the head tube may be off";
    SeatTube = "seat_tube", Mm, "the bore of the seat tube";
    SeatTubeOutside = "seat_tube_outside", Mm, "the outside of the seat tube";
    SeatAngle = "seat_angle", Degrees, "the angle of the seat tube";
    InsertionMin = "insertion_min", Mm, "the least that a post must be in";
    InsertionMax = "insertion_max", Mm, "the most that a post can be in";
    RestToCollar = "rest_to_collar", Mm, "from the resting point to the seat tube's top";
    EyeToEye = "eye_to_eye", Mm, "the length of the shock";
    Stroke = "stroke", Mm, "the stroke of the shock";
    MountUpper = "mount_upper", Mm, "the width of the upper shock mount";
    MountLower = "mount_lower", Mm, "the width of the lower shock mount";
    Steerer = "steerer", Mm, "the diameter of the steerer that it is or takes";
    CrownSeat = "crown_seat", Mm, "the crown seat, nominal";
    SteererLength = "steerer_length", Mm, "the steerer from the crown seat up";
    CutTolerance = "cut_tolerance", Mm, "how far the cut may be off";
    SpacersMax = "spacers_max", Mm, "the most spacers below the stem";
    Race = "race", Mm, "the crown race that it is or sits on, nominal";
    Inside = "inside", Mm, "the inside diameter";
    Outside = "outside", Mm, "the outside diameter";
    Height = "height", Mm, "the height";
    HeightTolerance = "height_tolerance", Mm, "how far the height may be off";
    InnerAngle = "inner_angle", Degrees, "the angle of the inner face";
    OuterAngle = "outer_angle", Degrees, "the angle of the outer face";
    Angle = "angle", Degrees, "the angle of the face against a bearing";
    Stack = "stack", Mm, "what it adds to the steerer's stack";
    StackTolerance = "stack_tolerance", Mm, "how far the stack may be off";
    Bar = "bar", Mm, "the diameter of the handlebar that it is or takes";
    Diameter = "diameter", Mm, "the diameter";
    Length = "length", Mm, "the length";
    Width = "width", Mm, "the width";
    Bore = "bore", Mm, "the bore";
    Thickness = "thickness", Mm, "the thickness";
    Mark = "mark", Mm, "how far the mark lies above the end";
    Pivot = "pivot", Mm, "the diameter of the pivot";
    HolesAlong = "holes_along", Mm, "how far apart the holes lie along";
    HolesAcross = "holes_across", Mm, "how far apart the holes lie across";
    Inserts = "inserts", Pieces, "how many inserts it has";
    Depth = "depth", Mm, "the depth of the insert that can be used";
    Thread = "thread", Thread, "the thread";
}

/// Defines the parts that a bike is made of, as the rules know them.
macro_rules! roles {
    ($($role:ident = $word:literal;)*) => {
        /// What a part is in a bike, as far as a rule of fit asks.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Role {
            $(#[doc = concat!("Role: ", $word, ".")] $role,)*
        }

        impl Role {
            const ALL: &'static [Self] = &[$(Self::$role,)*];

            /// Returns the role in words, as files hold it.
            pub const fn words(self) -> &'static str {
                match self {
                    $(Self::$role => $word,)*
                }
            }
        }
    };
}

roles! {
    Frame = "frame"; Headset = "headset"; Shock = "shock"; ShockBushing = "shock bushing";
    ShockBolt = "shock bolt"; SeatPost = "seat post"; SeatClamp = "seat clamp"; Saddle = "saddle";
    Fork = "fork"; UncutFork = "uncut fork"; CrownRace = "crown race"; StarNut = "star nut";
    UpperBearing = "upper bearing"; LowerBearing = "lower bearing"; SplitRing = "split ring";
    DustCover = "dust cover"; Spacer = "headset spacer"; Stem = "stem"; Handlebar = "handlebar";
    TopCap = "top cap"; CapBolt = "cap bolt"; FootPeg = "foot peg"; PegBolt = "peg bolt";
    PegNut = "peg nut"; SkiMount = "ski mount"; PivotAxle = "pivot axle";
    TorsionArm = "torsion arm"; Bumper = "torsion bumper"; Ski = "ski"; SkiBolt = "ski bolt";
    SkiWasher = "ski washer"; Riser = "riser"; AirCard = "air card"; ForkSheet = "fork sheet";
    ShockSheet = "shock sheet";
}

/// The value of one fact.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Fact {
    Role(Role),
    Mm(Length),
    Degrees(Angle),
    Pieces(u16),
    Thread(MetricThread),
    Headset(HeadsetCode),
    Type(HeadsetType),
    Text(String),
}

/// What is stated about a part for the rules of fit: named values, each with its unit known.
///
/// ```
/// use kitwright::domain::fit::Facts;
/// let stem: Facts = "role=stem; bar=31.8 mm; steerer=28.6; height=40".parse()?;
/// assert_eq!(stem.to_string(), "role=stem; steerer=28.6; height=40; bar=31.8");
/// # Ok::<(), kitwright::domain::fit::FitError>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Facts(BTreeMap<FactName, Fact>);

impl Facts {
    /// Returns what the part is in a bike.
    pub fn role(&self) -> Option<Role> {
        match self.0.get(&FactName::Role)? {
            Fact::Role(it) => Some(*it),
            _ => None,
        }
    }

    /// Returns a length.
    pub fn length(&self, name: FactName) -> Option<Length> {
        match self.0.get(&name)? {
            Fact::Mm(it) => Some(*it),
            _ => None,
        }
    }

    /// Returns an angle.
    pub fn angle(&self, name: FactName) -> Option<Angle> {
        match self.0.get(&name)? {
            Fact::Degrees(it) => Some(*it),
            _ => None,
        }
    }

    /// Returns a number of pieces.
    pub fn pieces(&self, name: FactName) -> Option<i64> {
        match self.0.get(&name)? {
            Fact::Pieces(it) => Some(i64::from(*it)),
            _ => None,
        }
    }

    /// Returns the thread.
    pub fn thread(&self) -> Option<MetricThread> {
        match self.0.get(&FactName::Thread)? {
            Fact::Thread(it) => Some(*it),
            _ => None,
        }
    }

    /// Returns the headset's code.
    pub fn headset(&self) -> Option<HeadsetCode> {
        match self.0.get(&FactName::Headset)? {
            Fact::Headset(it) => Some(*it),
            _ => None,
        }
    }

    /// Returns how a headset sits at one end.
    pub fn headset_type(&self, name: FactName) -> Option<HeadsetType> {
        match self.0.get(&name)? {
            Fact::Type(it) => Some(*it),
            _ => None,
        }
    }

    /// Returns a word, such as a side or a model.
    pub fn text(&self, name: FactName) -> Option<&str> {
        match self.0.get(&name)? {
            Fact::Text(it) => Some(it),
            _ => None,
        }
    }

    /// Returns the name and the value of each fact, in order, as files hold them.
    pub fn rows(&self) -> impl Iterator<Item = (FactName, String)> {
        self.0.iter().map(|(name, fact)| (*name, fact.to_string()))
    }

    /// Returns the facts of names and values, and what is wrong with those that are none, each by its
    /// place.
    pub fn from_rows(rows: &[(String, String)]) -> (Self, Vec<(usize, FitError)>) {
        let (mut facts, mut faults) = (BTreeMap::new(), Vec::new());
        for (place, (word, value)) in rows.iter().enumerate() {
            match named(word, value) {
                Ok((name, _)) if facts.contains_key(&name) => {
                    faults.push((place, FitError::FactTwice { name: word.clone() }));
                }
                Ok((name, fact)) => drop(facts.insert(name, fact)),
                Err(fault) => faults.push((place, fault)),
            }
        }
        (Self(facts), faults)
    }

    /// Returns whether nothing is stated.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl FromStr for Facts {
    type Err = FitError;

    fn from_str(text: &str) -> Result<Self, FitError> {
        let pieces = text.split(';').map(str::trim).filter(|it| !it.is_empty());
        let row = |piece: &str| {
            let (word, value) =
                piece.split_once('=').ok_or_else(|| FitError::Fact { text: piece.to_owned() })?;
            Ok((word.trim().to_owned(), value.trim().to_owned()))
        };
        let rows: Vec<(String, String)> = pieces.map(row).collect::<Result<_, FitError>>()?;
        let (facts, faults) = Self::from_rows(&rows);
        faults.into_iter().next().map_or(Ok(facts), |it| Err(it.1))
    }
}

fn named(word: &str, value: &str) -> Result<(FactName, Fact), FitError> {
    let name = FactName::ALL.iter().copied().find(|it| it.word() == word);
    let name = name.ok_or_else(|| FitError::FactName { found: word.to_owned() })?;
    let fact = fact(name, value).ok_or_else(|| FitError::FactValue {
        name: word.to_owned(),
        value: value.to_owned(),
        wanted: wanted(name),
    })?;
    Ok((name, fact))
}

/// Reads the value of a fact by what its name says that it is.
fn fact(name: FactName, value: &str) -> Option<Fact> {
    match name.kind() {
        Kind::Role => Role::ALL.iter().find(|it| it.words() == value).copied().map(Fact::Role),
        Kind::Mm => mm(value).map(Fact::Mm),
        Kind::Degrees => degrees(value).map(Fact::Degrees),
        Kind::Pieces => value.parse().ok().filter(|it| 0 < *it).map(Fact::Pieces),
        Kind::Thread => {
            let thread: MetricThread = value.parse().ok()?;
            thread.length().is_none().then_some(Fact::Thread(thread))
        }
        Kind::Headset => value.parse().ok().map(Fact::Headset),
        Kind::Type => HeadsetType::ALL.into_iter().find(|it| it.letters() == value).map(Fact::Type),
        Kind::Text => {
            let allowed = words(name);
            let known = allowed.is_empty() || allowed.contains(&value);
            let plain = !value.is_empty() && !value.contains(['=', ';']) && known;
            plain.then(|| Fact::Text(value.to_owned()))
        }
    }
}

/// Reads a length as people write it, a bare number as mm, where it is a whole number of micrometres.
fn mm(value: &str) -> Option<Length> {
    let stated = |text: &str| text.parse::<StatedLength>().ok()?.to_length().ok();
    let plain = Length::parse_millimetres(value).ok();
    plain.or_else(|| stated(value)).or_else(|| stated(&format!("{value} mm")))
}

/// Reads an angle in degrees, with their sign or name or without.
fn degrees(value: &str) -> Option<Angle> {
    let bare = ["°", "degrees", "deg"].into_iter().find_map(|it| value.strip_suffix(it));
    let number = bare.unwrap_or(value).trim_end().replace(',', ".");
    Angle::parse_degrees(&number).ok()
}

/// Returns the only words that a fact may be; none where any may.
const fn words(name: FactName) -> &'static [&'static str] {
    match name {
        FactName::Side => &["left", "right"],
        FactName::Position => &["front", "rear"],
        _ => &[],
    }
}

fn wanted(name: FactName) -> String {
    match name.kind() {
        Kind::Role => {
            let all: Vec<&str> = Role::ALL.iter().map(|it| it.words()).collect();
            format!("one of {}", all.join(", "))
        }
        Kind::Mm => "mm, such as 28.6, or with its unit, such as 1-1/8 in".to_owned(),
        Kind::Degrees => "degrees, such as 45".to_owned(),
        Kind::Pieces => "a whole number above 0".to_owned(),
        Kind::Thread => "a metric thread without a length, such as M6 or M8x1".to_owned(),
        Kind::Headset => "a headset code, such as EC34/28.6 | EC34/30".to_owned(),
        Kind::Type => "EC, ZS or IS".to_owned(),
        Kind::Text if words(name).is_empty() => "a word without = and ;".to_owned(),
        Kind::Text => words(name).join(" or "),
    }
}

/// Returns the words of all facts, for a message.
pub(super) fn all_names() -> String {
    let all: Vec<&str> = FactName::ALL.iter().map(|it| it.word()).collect();
    all.join(", ")
}

fn bare(length: Length) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}

impl fmt::Display for Facts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, (name, fact)) in self.0.iter().enumerate() {
            let between = if at == 0 { "" } else { "; " };
            write!(f, "{between}{}={fact}", name.word())?;
        }
        Ok(())
    }
}

impl fmt::Display for Fact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Role(it) => f.write_str(it.words()),
            Self::Mm(it) => f.write_str(&bare(*it)),
            Self::Degrees(it) => f.write_str(it.to_string().trim_end_matches('°')),
            Self::Pieces(it) => it.fmt(f),
            Self::Thread(it) => it.fmt(f),
            Self::Headset(it) => it.fmt(f),
            Self::Type(it) => f.write_str(it.letters()),
            Self::Text(it) => f.write_str(it),
        }
    }
}

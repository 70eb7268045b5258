use barcoders::sym::code128::Code128 as Drawing;

use super::symbols::ElementsError;

/// Codeword that says: the next character is of code set A or B, whichever is not in use.
const SHIFT: u8 = 98;
const FNC1: u8 = 102;
const STOP_MODULES: u32 = 13;
const MODULES: u32 = 11;
/// The check runs over the start character with weight 1, then each one with its position.
const CHECK_MODULUS: u64 = 103;

/// Why a text has no Code 128 symbol.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Code128Error {
    /// There is nothing to encode.
    #[error("a bar code needs at least one character")]
    Empty,
    /// The text has a character outside ISO/IEC 646.
    #[error("'{0}' (U+{code:04X}) has no bars in Code 128: use ASCII characters", code = u32::from(*.0))]
    Character(char),
    /// The element strings cannot be told apart.
    #[error(transparent)]
    Elements(#[from] ElementsError),
    /// The drawing refused a plan that it should have taken.
    #[error("the bars of '{0}' could not be drawn")]
    Drawing(String),
}

/// One character of a message.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Datum {
    /// A character of ISO/IEC 646, 0 to 127.
    Ascii(u8),
    /// Function 1: first in a GS1-128 symbol, then the separator between its elements.
    Fnc1,
}

/// A Code 128 symbol: the fewest symbol characters that say the message.
///
/// ```
/// use kitwright::domain::labels::Code128;
/// let symbol: Code128 = "123456".parse()?;
/// assert_eq!(symbol.codewords(), [105, 12, 34, 56, 44]);
/// assert_eq!(symbol.module_count(), 68);
/// # Ok::<(), kitwright::domain::labels::Code128Error>(())
/// ```
///
/// # Source
///
/// ISO/IEC 15417:2007: code sets in table 1, check character in annex A.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code128 {
    codewords: Vec<u8>,
}

impl Code128 {
    /// Returns the shortest symbol of the message.
    ///
    /// # Errors
    ///
    /// [`Code128Error::Empty`], or [`Code128Error::Character`] for a value above 127.
    pub fn of(message: &[Datum]) -> Result<Self, Code128Error> {
        if message.is_empty() {
            return Err(Code128Error::Empty);
        }
        for datum in message {
            if let Datum::Ascii(value @ 128..) = datum {
                return Err(Code128Error::Character(char::from(*value)));
            }
        }
        let mut codewords = shortest(message);
        codewords.push(check_value(&codewords));
        Ok(Self { codewords })
    }

    /// Returns the shortest GS1-128 symbol of elements written "(01)09520123456788(10)LOT7A".
    ///
    /// A separator follows each element whose length its AI does not fix, save the last.
    ///
    /// # Errors
    ///
    /// [`Code128Error::Elements`] where the brackets do not match, else as [`Code128::of`].
    ///
    /// # Source
    ///
    /// GS1 General Specifications, section 7.8.5 and figure 7.8.5-2 (predefined lengths).
    pub fn of_elements(elements: &str) -> Result<Self, Code128Error> {
        let mut message = vec![Datum::Fnc1];
        for it in super::symbols::elements(elements)? {
            message.extend(data_of(it.ai)?);
            message.extend(data_of(it.value)?);
            if it.separated {
                message.push(Datum::Fnc1);
            }
        }
        Self::of(&message)
    }

    /// Returns the codewords from the start character to the check character; the stop is implied.
    pub fn codewords(&self) -> &[u8] {
        &self.codewords
    }

    /// Returns the number of symbol characters, with start, check and stop.
    pub fn symbol_characters(&self) -> usize {
        self.codewords.len() + 1
    }

    /// Returns the width in modules, without quiet zones.
    pub fn module_count(&self) -> u32 {
        let characters = u32::try_from(self.codewords.len()).unwrap_or(u32::MAX);
        characters.saturating_mul(MODULES).saturating_add(STOP_MODULES)
    }

    /// Returns the widths in modules of bars and spaces in turn, from the first bar to the last.
    ///
    /// # Errors
    ///
    /// [`Code128Error::Drawing`] should the drawing not take our plan.
    pub fn widths(&self) -> Result<Vec<u8>, Code128Error> {
        let script = self.script();
        let fault = || Code128Error::Drawing(script.clone());
        let modules = Drawing::new(&script).map_err(|_| fault())?.encode();
        let mut widths: Vec<u8> = Vec::new();
        let mut colour = None;
        for module in modules {
            match widths.last_mut() {
                Some(width) if colour == Some(module) => *width += 1,
                _ => widths.push(1),
            }
            colour = Some(module);
        }
        Ok(widths)
    }

    /// Writes our plan in the alphabet of the drawing, which adds check and stop itself.
    ///
    /// The drawing knows no shift: it looks the shifted character up in the set in use. As the
    /// bars depend on the codeword alone, the character of that codeword in that set is given.
    fn script(&self) -> String {
        let mut script = String::new();
        let mut set = None;
        for codeword in self.codewords.iter().take(self.codewords.len().saturating_sub(1)) {
            match set_after(set, *codeword) {
                Some(next) => {
                    script.push(next.prefix());
                    set = Some(next);
                }
                None => script.push_str(&set.unwrap_or(Set::B).character(*codeword)),
            }
        }
        script
    }
}

impl std::str::FromStr for Code128 {
    type Err = Code128Error;

    fn from_str(text: &str) -> Result<Self, Code128Error> {
        Self::of(&data_of(text)?)
    }
}

fn data_of(text: &str) -> Result<Vec<Datum>, Code128Error> {
    let datum = |it: char| match u8::try_from(it) {
        Ok(value @ 0..=127) => Ok(Datum::Ascii(value)),
        _ => Err(Code128Error::Character(it)),
    };
    text.chars().map(datum).collect()
}

fn check_value(codewords: &[u8]) -> u8 {
    let weights = [1].into_iter().chain(1_u64..);
    let sum = codewords
        .iter()
        .zip(weights)
        .fold(0, |sum, (codeword, weight)| (sum + u64::from(*codeword) * weight) % CHECK_MODULUS);
    u8::try_from(sum).unwrap_or(0)
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Set {
    A,
    B,
    C,
}

/// Ties go to the set that stands first: B draws what people read.
const SETS: [Set; 3] = [Set::B, Set::C, Set::A];

impl Set {
    const fn start(self) -> u8 {
        match self {
            Self::A => 103,
            Self::B => 104,
            Self::C => 105,
        }
    }

    /// Returns the codeword that changes to this set from either other one.
    const fn change(self) -> u8 {
        match self {
            Self::A => 101,
            Self::B => 100,
            Self::C => 99,
        }
    }

    const fn prefix(self) -> char {
        match self {
            Self::A => '\u{C0}',
            Self::B => '\u{181}',
            Self::C => '\u{106}',
        }
    }

    /// Returns the set that a shift reaches from this one.
    const fn shifted(self) -> Option<Self> {
        match self {
            Self::A => Some(Self::B),
            Self::B => Some(Self::A),
            Self::C => None,
        }
    }

    /// Returns the codeword of one character in set A or B.
    const fn single(self, value: u8) -> Option<u8> {
        match (self, value) {
            (Self::A | Self::B, 32..=95) => Some(value - 32),
            (Self::A, 0..=31) => Some(value + 64),
            (Self::B, 96..=127) => Some(value - 32),
            _ => None,
        }
    }

    /// Returns the drawing's character for the codeword of a datum in this set.
    fn character(self, codeword: u8) -> String {
        match (self, codeword) {
            (_, FNC1) => '\u{179}'.to_string(),
            (Self::C, pair) => format!("{pair:02}"),
            (_, SHIFT) => '\u{17D}'.to_string(),
            (Self::A, 64..) => char::from(codeword.saturating_sub(64)).to_string(),
            (Self::B, 95) => '\u{F7}'.to_string(),
            _ => char::from(codeword.saturating_add(32)).to_string(),
        }
    }
}

/// Returns the set that the codeword starts or changes to, if it is such a one.
fn set_after(set: Option<Set>, codeword: u8) -> Option<Set> {
    SETS.into_iter().find(|it| match set {
        None => codeword == it.start(),
        Some(now) => now != *it && codeword == it.change(),
    })
}

/// One way to say the rest of a message: how many symbol characters it takes, and its first step.
#[derive(Debug, Clone, Copy)]
struct Rest {
    cost: u32,
    step: Step,
}

#[derive(Debug, Clone, Copy)]
enum Step {
    End,
    Say(u8),
    SayPair(u8),
    SayShifted(u8),
    Change(Set),
}

/// Returns start and data codewords of the shortest symbol, by a dynamic programme from the end.
///
/// For each position the best rest is known for each set in use: say the next datum in the set,
/// shift for one character, or change sets and go on.
fn shortest(message: &[Datum]) -> Vec<u8> {
    let mut rests = vec![[Rest { cost: 0, step: Step::End }; 3]];
    for position in (0..message.len()).rev() {
        let next = [rests.last(), rests.iter().rev().nth(1)];
        let stay = SETS.map(|set| stay_in(set, message.get(position..).unwrap_or(&[]), next));
        let cheapest = SETS.into_iter().zip(stay).min_by_key(|(_, rest)| rest.cost);
        let change = |rest: Rest| match cheapest {
            Some((set, best)) if best.cost + 1 < rest.cost => {
                Rest { cost: best.cost + 1, step: Step::Change(set) }
            }
            _ => rest,
        };
        rests.push(stay.map(change));
    }
    rests.reverse();
    spell(&rests)
}

/// Returns the best rest that says the next datum without changing sets.
fn stay_in(set: Set, message: &[Datum], next: [Option<&[Rest; 3]>; 2]) -> Rest {
    let after = |rests: Option<&[Rest; 3]>| {
        let cost = |rests: &[Rest; 3]| pick(rests, set).cost;
        rests.map_or(u32::MAX / 2, cost)
    };
    let impossible = Rest { cost: u32::MAX / 2, step: Step::End };
    let [one, two] = next;
    match (message, set) {
        ([Datum::Fnc1, ..], _) => Rest { cost: after(one) + 1, step: Step::Say(FNC1) },
        ([Datum::Ascii(a @ b'0'..=b'9'), Datum::Ascii(b @ b'0'..=b'9'), ..], Set::C) => {
            Rest { cost: after(two) + 1, step: Step::SayPair((a - b'0') * 10 + (b - b'0')) }
        }
        ([Datum::Ascii(value), ..], _) => match (set.single(*value), set.shifted()) {
            (Some(codeword), _) => Rest { cost: after(one) + 1, step: Step::Say(codeword) },
            (None, Some(other)) => match other.single(*value) {
                Some(codeword) => Rest { cost: after(one) + 2, step: Step::SayShifted(codeword) },
                None => impossible,
            },
            (None, None) => impossible,
        },
        ([], _) => impossible,
    }
}

fn pick(rests: &[Rest; 3], set: Set) -> Rest {
    let [b, c, a] = *rests;
    match set {
        Set::B => b,
        Set::C => c,
        Set::A => a,
    }
}

/// Follows the cheapest steps from the start and writes their codewords.
fn spell(rests: &[[Rest; 3]]) -> Vec<u8> {
    let cost = |set: &Set| rests.first().map_or(0, |it| pick(it, *set).cost);
    let mut set = SETS.into_iter().min_by_key(cost).unwrap_or(Set::B);
    let mut codewords = vec![set.start()];
    let mut position = 0;
    while let Some(rest) = rests.get(position) {
        match pick(rest, set).step {
            Step::End => break,
            Step::Change(next) => {
                codewords.push(next.change());
                set = next;
            }
            Step::Say(codeword) => {
                codewords.push(codeword);
                position += 1;
            }
            Step::SayPair(codeword) => {
                codewords.push(codeword);
                position += 2;
            }
            Step::SayShifted(codeword) => {
                codewords.extend([SHIFT, codeword]);
                position += 1;
            }
        }
    }
    codewords
}

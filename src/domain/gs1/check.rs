use super::check_digit::check_digit;
use super::date::{self, DateFlaw};
use super::lists::{COUNTRIES, COUNTRY_LETTERS, CURRENCIES, PACKAGES};

/// What the characters of a component must obey, beyond being of its set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Check {
    /// The last digit is the check digit of the others.
    Digit,
    /// The last two characters are the check characters of the others (GMN).
    Pair,
    /// Begins with a company prefix, which has at least four digits, after so many characters.
    Prefix(usize),
    /// A date YYMMDD; whether day 00, the last of the month, may stand.
    ShortDate {
        /// Whether day 00 may stand.
        day_00: bool,
    },
    /// A date YYYYMMDD.
    LongDate,
    /// Hours and minutes.
    HoursMinutes,
    /// Hours.
    Hours,
    /// Minutes, or seconds.
    Sixty(&'static str),
    /// A piece and how many there are, two digits each.
    PieceOfTotal,
    /// A position and how many there are, with a slash between.
    PositionOfTotal,
    /// One of the words of a list.
    OneOf(&'static str, &'static str),
    /// A number up to a highest one.
    UpTo(u64, &'static str),
    /// Not zero.
    NonZero,
    /// Zeros only.
    Zero,
    /// No zero in front, unless it is all there is.
    NoZeroPrefix,
    /// Something else than digits is among the characters.
    HasNonDigit,
    /// Percent signs stand before two hexadecimal digits.
    PercentEncoded,
    /// A letter, a digit, hyphen or underscore.
    ImporterIndex,
    /// An international bank account number.
    Iban,
    /// A coupon code of AI (8110), up to its first purchase.
    Coupon,
    /// A coupon code of AI (8112).
    OfferCoupon,
}

/// What is wrong with a component.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Flaw {
    /// The fault's code.
    pub code: &'static str,
    /// How many characters stand before it.
    pub at: usize,
    /// What is wrong, and what would be right.
    pub message: String,
}

impl Flaw {
    fn new(code: &'static str, at: usize, message: impl Into<String>) -> Self {
        Self { code, at, message: message.into() }
    }
}

impl From<DateFlaw> for Flaw {
    fn from(it: DateFlaw) -> Self {
        Self { code: "gs1.date", at: it.at, message: it.message }
    }
}

impl Check {
    /// Returns the check of that name in the table of application identifiers.
    pub(super) fn named(name: &str) -> Option<Self> {
        Some(match name {
            "csum" => Self::Digit,
            "csumalpha" => Self::Pair,
            "gcppos1" => Self::Prefix(0),
            "gcppos2" => Self::Prefix(1),
            "yymmd0" => Self::ShortDate { day_00: true },
            "yymmdd" => Self::ShortDate { day_00: false },
            "yyyymmdd" => Self::LongDate,
            "hhmi" => Self::HoursMinutes,
            "hh" => Self::Hours,
            "mi" => Self::Sixty("minute"),
            "ss" => Self::Sixty("second"),
            "pieceoftotal" => Self::PieceOfTotal,
            "posinseqslash" => Self::PositionOfTotal,
            "iso3166" => Self::OneOf(COUNTRIES, "country code of ISO 3166-1 (three digits)"),
            "iso3166999" => Self::OneOf(COUNTRIES, COUNTRY_OR_999),
            "iso3166alpha2" => {
                Self::OneOf(COUNTRY_LETTERS, "country code of ISO 3166-1 (two letters)")
            }
            "iso4217" => Self::OneOf(CURRENCIES, "currency code of ISO 4217 (three digits)"),
            "iso5218" => Self::OneOf("0 1 2 9", "code of ISO/IEC 5218: 0, 1, 2 or 9"),
            "packagetype" => Self::OneOf(PACKAGES, "package type of UN/ECE Recommendation 21"),
            "yesno" => Self::OneOf("0 1", "answer: 0 is no, 1 is yes"),
            "winding" => Self::OneOf("0 1 9", "winding direction: 0, 1 or 9"),
            "hyphen" => Self::OneOf("-", "minus sign: a hyphen"),
            "mediatype" => Self::OneOf(MEDIA, "AIDC media type: 01 to 10, or 80 to 99"),
            "latitude" => Self::UpTo(1_800_000_000, "latitude"),
            "longitude" => Self::UpTo(3_600_000_000, "longitude"),
            "nonzero" => Self::NonZero,
            "zero" => Self::Zero,
            "nozeroprefix" => Self::NoZeroPrefix,
            "hasnondigit" => Self::HasNonDigit,
            "pcenc" => Self::PercentEncoded,
            "importeridx" => Self::ImporterIndex,
            "iban" => Self::Iban,
            "couponcode" => Self::Coupon,
            "couponposoffer" => Self::OfferCoupon,
            _ => return None,
        })
    }

    /// Checks a component whose characters are of its set. `year` is the current one, which
    /// settles the century of a date.
    pub(super) fn of(self, value: &str, year: i32) -> Result<(), Flaw> {
        match self {
            Self::Digit => digit(value),
            Self::Pair => pair(value),
            Self::Prefix(skipped) => prefix(value, skipped),
            Self::ShortDate { day_00 } => {
                date::of_six(value, year, day_00).map(drop).map_err(Flaw::from)
            }
            Self::LongDate => date::of_eight(value).map(drop).map_err(Flaw::from),
            Self::HoursMinutes => {
                hours(value.get(..2).unwrap_or_default())?;
                sixty(value.get(2..).unwrap_or_default(), 2, "minute")
            }
            Self::Hours => hours(value),
            Self::Sixty(what) => sixty(value, 0, what),
            Self::PieceOfTotal => piece(value),
            Self::PositionOfTotal => position(value),
            Self::OneOf(list, what) => one_of(value, list, what),
            Self::UpTo(most, what) => match value.parse::<u64>() {
                Ok(it) if it <= most => Ok(()),
                _ => Err(Flaw::new("gs1.range", 0, format!("no {what} is above {most}"))),
            },
            Self::NonZero if value.chars().all(|it| it == '0') => {
                Err(Flaw::new("gs1.zero", 0, "this number must not be zero"))
            }
            Self::Zero if value.chars().any(|it| it != '0') => {
                Err(Flaw::new("gs1.zero", 0, "a zero stands here, and nothing else"))
            }
            Self::NoZeroPrefix if 1 < value.len() && value.starts_with('0') => {
                Err(Flaw::new("gs1.zero", 0, "this number does not begin with a zero"))
            }
            Self::HasNonDigit if value.chars().all(|it| it.is_ascii_digit()) => {
                Err(Flaw::new("gs1.character", 0, "one character at least is no digit"))
            }
            Self::NonZero | Self::Zero | Self::NoZeroPrefix | Self::HasNonDigit => Ok(()),
            Self::PercentEncoded => percent(value),
            Self::ImporterIndex => match value
                .chars()
                .all(|it| it.is_ascii_alphanumeric() || "-_".contains(it))
            {
                true => Ok(()),
                false => {
                    Err(Flaw::new("gs1.list", 0, "an importer index is a letter, a digit, - or _"))
                }
            },
            Self::Iban => iban(value),
            Self::Coupon => coupon(value, &[(6, 0..=6), (0, 1..=5), (0, 1..=5)]).map(drop),
            Self::OfferCoupon => offer(value),
        }
    }
}

const COUNTRY_OR_999: &str = "country code of ISO 3166-1 (three digits), or 999 for several";

const MEDIA: &str = "01 02 03 04 05 06 07 08 09 10 80 81 82 83 84 85 86 87 88 89 90 91 92 93 94 \
    95 96 97 98 99";

fn digit(value: &str) -> Result<(), Flaw> {
    let mut body = value.chars();
    let last = body.next_back();
    match check_digit(body.as_str()) {
        Some(right) if Some(right) == last => Ok(()),
        Some(right) => Err(Flaw::new(
            "gs1.check_digit",
            value.len().saturating_sub(1),
            format!("the check digit of {} is {right}: read it again", body.as_str()),
        )),
        None => Err(Flaw::new("gs1.check_digit", 0, "there is no check digit")),
    }
}

/// The characters of set 82 in the order of their weight.
const SET_82: &str =
    "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz";
/// The characters of a check pair in the order of their weight.
const SET_32: &str = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

/// Returns the primes in order, without end.
fn primes() -> impl Iterator<Item = usize> {
    (2_usize..).filter(|it| (2..*it).take_while(|by| by * by <= *it).all(|by| it % by != 0))
}

/// Returns the check pair of a global model number's other characters, or `None` where one of
/// them is outside set 82.
///
/// # Source
///
/// GS1 General Specifications, section 7.9.5, check character pair: primes from the right as
/// weights, modulo 1021, in two times five bits.
pub fn check_pair(body: &str) -> Option<String> {
    let weighted = body.chars().rev().zip(primes());
    let sum =
        weighted.map(|(it, weight)| Some(SET_82.find(it)? * weight)).sum::<Option<usize>>()?;
    let of = |value: usize| SET_32.chars().nth(value);
    Some([of(sum % 1021 / 32)?, of(sum % 1021 % 32)?].into_iter().collect())
}

fn pair(value: &str) -> Result<(), Flaw> {
    let at = value.len().saturating_sub(2);
    let (body, found) = value.split_at_checked(at).unwrap_or_default();
    match check_pair(body) {
        Some(right) if right == found => Ok(()),
        Some(right) => Err(Flaw::new(
            "gs1.check_digit",
            at,
            format!("the check characters of {body} are {right}: read it again"),
        )),
        None => Err(Flaw::new("gs1.character", 0, "a character has no weight in the check")),
    }
}

fn prefix(value: &str, skipped: usize) -> Result<(), Flaw> {
    let digits = value.chars().skip(skipped).take_while(char::is_ascii_digit).count();
    if 4 <= digits {
        return Ok(());
    }
    let message = "a GS1 company prefix stands here, and has at least 4 digits";
    Err(Flaw::new("gs1.prefix", skipped + digits, message))
}

fn hours(value: &str) -> Result<(), Flaw> {
    match value.parse::<u32>() {
        Ok(hour) if hour < 24 => Ok(()),
        _ => Err(Flaw::new("gs1.time", 0, format!("{value} is no hour: they run from 00 to 23"))),
    }
}

fn sixty(value: &str, at: usize, what: &str) -> Result<(), Flaw> {
    match value.parse::<u32>() {
        Ok(it) if it < 60 => Ok(()),
        _ => {
            Err(Flaw::new("gs1.time", at, format!("{value} is no {what}: they run from 00 to 59")))
        }
    }
}

fn piece(value: &str) -> Result<(), Flaw> {
    let (piece, total) = value.split_at_checked(2).unwrap_or_default();
    if piece == "00" {
        return Err(Flaw::new("gs1.piece", 0, "there is no piece 00: they are counted from 01"));
    }
    if total == "00" {
        return Err(Flaw::new("gs1.piece", 2, "the total of pieces is 01 to 99, not 00"));
    }
    if total < piece {
        let message = format!("piece {piece} of {total} can't be: the total is smaller");
        return Err(Flaw::new("gs1.piece", 0, message));
    }
    Ok(())
}

fn position(value: &str) -> Result<(), Flaw> {
    let number =
        |text: &str| match text.starts_with('0') || !text.chars().all(|it| it.is_ascii_digit()) {
            true => None,
            false => text.parse::<u32>().ok(),
        };
    let read = value.split_once('/').and_then(|(at, of)| Some((number(at)?, number(of)?)));
    match read {
        Some((at, of)) if at <= of => Ok(()),
        _ => Err(Flaw::new("gs1.piece", 0, "position and count stand here, such as 1/3")),
    }
}

fn one_of(value: &str, list: &str, what: &str) -> Result<(), Flaw> {
    let several = what == COUNTRY_OR_999 && value == "999";
    if several || list.split(' ').any(|it| it == value) {
        return Ok(());
    }
    Err(Flaw::new("gs1.list", 0, format!("{value} is no {what}")))
}

fn percent(value: &str) -> Result<(), Flaw> {
    for (at, _) in value.match_indices('%') {
        let digits = value.get(at + 1..at + 3).unwrap_or_default();
        if digits.len() != 2 || !digits.chars().all(|it| it.is_ascii_hexdigit()) {
            let message = "after a percent sign stand two hexadecimal digits, such as %2C";
            return Err(Flaw::new("gs1.percent", at, message));
        }
    }
    Ok(())
}

fn iban(value: &str) -> Result<(), Flaw> {
    let wrong = |message: &str| Flaw::new("gs1.iban", 0, message);
    let (head, body) = value.split_at_checked(4).ok_or_else(|| wrong("it is too short"))?;
    one_of(
        head.get(..2).unwrap_or_default(),
        COUNTRY_LETTERS,
        "country code of ISO 3166-1 (two letters)",
    )?;
    let remainder = body.chars().chain(head.chars()).try_fold(0_u32, |sum, it| {
        let value = it.to_digit(36).filter(|_| !it.is_ascii_lowercase())?;
        let shifted = if value < 10 { sum * 10 } else { sum * 100 };
        Some((shifted + value) % 97)
    });
    match remainder {
        Some(1) => Ok(()),
        Some(_) => Err(wrong("the check digits of the IBAN do not match: read it again")),
        None => Err(wrong("an IBAN has capital letters and digits only")),
    }
}

/// Reads the parts of a coupon code that tell their own length, and returns what is left.
fn coupon<'a>(
    value: &'a str,
    lengths: &[(usize, std::ops::RangeInclusive<usize>)],
) -> Result<&'a str, Flaw> {
    let cut_off = |rest: &str| {
        Flaw::new("gs1.coupon", value.len() - rest.len(), "the coupon code is cut off here")
    };
    if let Some(at) = value.find(|it: char| !it.is_ascii_digit()) {
        return Err(Flaw::new("gs1.character", at, "a coupon code has digits only"));
    }
    let mut rest = value;
    for (part, (more, range)) in lengths.iter().enumerate() {
        let (length, after) = rest.split_at_checked(1).ok_or_else(|| cut_off(rest))?;
        let length: usize = length.parse().map_err(|_| cut_off(rest))?;
        if !range.contains(&length) {
            let at = value.len() - rest.len();
            return Err(Flaw::new("gs1.coupon", at, format!("{length} is no length of this part")));
        }
        let offer_code = if part == 0 { 6 } else { 0 };
        rest = after.get(length + more + offer_code..).ok_or_else(|| cut_off(after))?;
    }
    Ok(rest)
}

fn offer(value: &str) -> Result<(), Flaw> {
    let (format, rest) = value.split_at_checked(1).unwrap_or_default();
    if format != "0" && format != "1" {
        return Err(Flaw::new("gs1.coupon", 0, format!("{format} is no coupon format: 0 or 1")));
    }
    match coupon(rest, &[(6, 0..=6), (6, 0..=9)])? {
        "" => Ok(()),
        more => Err(Flaw::new("gs1.coupon", value.len() - more.len(), "nothing follows here")),
    }
}

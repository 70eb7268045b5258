use chrono::{Datelike, NaiveDate};

/// What is wrong with a date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DateFlaw {
    /// How many characters stand before it.
    pub at: usize,
    /// What is wrong, and what would be right.
    pub message: String,
}

/// Returns the four-digit year of a two-digit one, seen from the current year.
///
/// A year that would lie 51 or more ahead was in the century before; one 50 or more behind is in
/// the century to come.
///
/// # Source
///
/// GS1 General Specifications, section 7.12, determination of century in dates.
///
/// ```
/// use kitwright::domain::gs1::full_year;
/// assert_eq!([76, 77].map(|it| full_year(it, 2026)), [2076, 1977]);
/// ```
pub fn full_year(two_digits: i32, current: i32) -> i32 {
    let century = current - current.rem_euclid(100);
    let year = century + two_digits;
    match two_digits - current.rem_euclid(100) {
        51..=99 => year - 100,
        -99..=-50 => year + 100,
        _ => year,
    }
}

/// Returns the date of a text YYMMDD; day 00 is the last day of its month, where it may stand.
///
/// # Errors
///
/// [`DateFlaw`], which says where in the text.
///
/// # Source
///
/// GS1 General Specifications, sections 3.4.2 to 3.4.7, and 7.12 for the century.
///
/// ```
/// use kitwright::domain::gs1::date_of_six;
/// assert_eq!(date_of_six("280200", 2026, true).unwrap().to_string(), "2028-02-29");
/// assert!(date_of_six("280200", 2026, false).is_err());
/// ```
pub fn of_six(text: &str, current: i32, day_00: bool) -> Result<NaiveDate, DateFlaw> {
    let [year, month, day] = numbers(text, [2, 2, 2], "YYMMDD")?;
    date(full_year(year, current), (2, month), (4, day), day_00)
}

/// Returns the date of a text YYYYMMDD.
///
/// # Errors
///
/// [`DateFlaw`], which says where in the text.
pub fn of_eight(text: &str) -> Result<NaiveDate, DateFlaw> {
    let [year, month, day] = numbers(text, [4, 2, 2], "YYYYMMDD")?;
    date(year, (4, month), (6, day), false)
}

fn numbers(text: &str, widths: [usize; 3], form: &str) -> Result<[i32; 3], DateFlaw> {
    let flaw = |at: usize, message: String| DateFlaw { at, message };
    if let Some((at, it)) = text.chars().enumerate().find(|(_, it)| !it.is_ascii_digit()) {
        return Err(flaw(at, format!("'{it}' is no digit: a date is {form}, in digits")));
    }
    let wanted: usize = widths.iter().sum();
    if text.len() != wanted {
        let found = text.len();
        return Err(flaw(
            found.min(wanted),
            format!("{found} digits are no date: {form} has {wanted}"),
        ));
    }
    let mut start = 0;
    Ok(widths.map(|width| {
        let number = text.get(start..start + width).and_then(|it| it.parse().ok());
        start += width;
        number.unwrap_or_default()
    }))
}

fn date(
    year: i32,
    (month_at, month): (usize, i32),
    (day_at, day): (usize, i32),
    day_00: bool,
) -> Result<NaiveDate, DateFlaw> {
    let on = |day: i32| {
        NaiveDate::from_ymd_opt(year, u32::try_from(month).ok()?, u32::try_from(day).ok()?)
    };
    let Some(first) = on(1) else {
        let message = format!("{month:02} is no month: they run from 01 to 12");
        return Err(DateFlaw { at: month_at, message });
    };
    let last = (28..=31).rev().find_map(on).unwrap_or(first);
    match day {
        0 if day_00 => Ok(last),
        0 => {
            let message = "day 00 may not stand here: this date names its day".to_owned();
            Err(DateFlaw { at: day_at, message })
        }
        _ => on(day).ok_or_else(|| DateFlaw {
            at: day_at,
            message: format!(
                "{year}-{month:02} has no day {day:02}: its last is {:02}",
                last.day()
            ),
        }),
    }
}

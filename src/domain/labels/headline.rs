/// Returns what stands largest on a part's label, and what stands small beside it: the variant and
/// the name, or the size with which a name ends ("Pinch bolt M6x25") and the rest of it.
///
/// ```
/// use kitwright::domain::labels::headline;
/// let both = |large: &str, small: &str| (large.to_owned(), small.to_owned());
/// assert_eq!(headline("Seat post", "30.9 × 350"), both("30.9 × 350", "Seat post"));
/// assert_eq!(headline("Pinch bolt M6x1.0x25", ""), both("M6x1.0x25", "Pinch bolt"));
/// assert_eq!(headline("Grease", ""), both("", "Grease"));
/// ```
pub fn headline(name: &str, variant: &str) -> (String, String) {
    let (name, variant) = (name.trim(), variant.trim());
    let has_digit = |it: &str| it.chars().any(char::is_numeric);
    match name.rsplit_once(' ') {
        Some((rest, size)) if variant.is_empty() && has_digit(size) => {
            (size.to_owned(), rest.trim_end().to_owned())
        }
        _ => (variant.to_owned(), name.to_owned()),
    }
}

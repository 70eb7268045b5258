use serde::Deserialize;
use serde_json::{Number, Value, json};

use crate::domain::labels::{
    Code128, Correction, Dimensions, QrSymbol, SizeFault, Symbol, Symbology, Use,
    logistic_label_fault, placement_faults, width_faults,
};
use crate::units::Length;

use super::{Fault, line};

/// A symbol to be drawn, or a size to be judged; `kind` says which.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
pub(super) struct SymbolLine {
    /// Symbols of a text: ean13, ean8, upca, upce, itf14_bars, code128, gs1-128, datamatrix,
    /// gs1datamatrix, gs1qrcode, qrcode (L, M, Q or H after a blank). Sizes: dimension_rule,
    /// gs1_128_width, logistic_label_size, label_placement.
    kind: String,
    /// What a symbol says: text, a whole GTIN, or elements with their identifiers in brackets.
    text: Option<String>,
    /// Where a bar code is read: EAN13_retail, EAN8_retail, EAN13_general, ITF14_general,
    /// GS1128_general or GS1128_logistic.
    #[serde(rename = "use")]
    of_use: Option<String>,
    /// Width of a module.
    #[schema(value_type = Option<f64>)]
    x_mm: Option<Number>,
    /// Height of the bars.
    #[schema(value_type = Option<f64>)]
    height_mm: Option<Number>,
    /// Quiet zone on the left, in modules.
    #[schema(value_type = Option<f64>)]
    quiet_left_x: Option<Number>,
    /// Quiet zone on the right, in modules.
    #[schema(value_type = Option<f64>)]
    quiet_right_x: Option<Number>,
    /// A label's width.
    #[schema(value_type = Option<f64>)]
    w_mm: Option<Number>,
    /// A label's height.
    #[schema(value_type = Option<f64>)]
    h_mm: Option<Number>,
    /// The height of a carton or pallet.
    #[schema(value_type = Option<f64>)]
    height_of_unit_mm: Option<Number>,
    /// The lower edge of the bars above the base.
    #[schema(value_type = Option<f64>)]
    bottom_of_bars_above_base_mm: Option<Number>,
    /// The symbol with its quiet zone from the nearest vertical edge.
    #[schema(value_type = Option<f64>)]
    from_vertical_edge_mm: Option<Number>,
}

pub(super) fn symbol(value: Value) -> Result<Value, Fault> {
    let it: SymbolLine = line(value)?;
    match it.kind.as_str() {
        "ean13" => bars(&it, Symbology::Ean13, "EAN-13"),
        "ean8" => bars(&it, Symbology::Ean8, "EAN-8"),
        "upca" => bars(&it, Symbology::UpcA, "EAN-13"),
        "upce" => bars(&it, Symbology::UpcE, "UPC-E"),
        "code128" => bars(&it, Symbology::Code128, "Code 128"),
        "gs1-128" => bars(&it, Symbology::Gs1128, "Code 128"),
        "itf14_bars" | "itf14" => itf14(&it),
        "datamatrix" => matrix(&it, Symbology::DataMatrix),
        "gs1datamatrix" => matrix(&it, Symbology::Gs1DataMatrix),
        "gs1qrcode" => matrix(&it, Symbology::Gs1Qr),
        "dimension_rule" => dimension_rule(&it),
        "gs1_128_width" => gs1_128_width(&it),
        "logistic_label_size" => {
            let (width, height) = (mm("w_mm", &it.w_mm)?, mm("h_mm", &it.h_mm)?);
            let fault = logistic_label_fault(width, height);
            let warnings: Vec<String> = fault.iter().map(ToString::to_string).collect();
            Ok(json!({ "at_least_a6": fault.is_none(), "warnings": warnings }))
        }
        "label_placement" => Ok(verdict(&placement_faults(
            mm("height_of_unit_mm", &it.height_of_unit_mm)?,
            mm("bottom_of_bars_above_base_mm", &it.bottom_of_bars_above_base_mm)?,
            mm("from_vertical_edge_mm", &it.from_vertical_edge_mm)?,
        ))),
        kind => match kind.strip_prefix("qrcode") {
            Some(level) => qr(&it, level.trim()),
            None => Err(Fault::new(
                "symbol.kind",
                format!("'{kind}' is no kind: calc symbol --schema lists them"),
            )),
        },
    }
}

fn given<'a, T>(name: &str, value: &'a Option<T>) -> Result<&'a T, Fault> {
    value.as_ref().ok_or_else(|| Fault::new("symbol.line", format!("{name} is left out")))
}

fn mm(name: &str, value: &Option<Number>) -> Result<Length, Fault> {
    let text = given(name, value)?.to_string();
    Length::parse_millimetres(&text)
        .map_err(|it| Fault::new("symbol.line", format!("{name}: {it}")))
}

/// Returns whole modules; a part of one is no more than the modules before it.
fn modules(name: &str, value: &Option<Number>) -> Result<i64, Fault> {
    Ok(mm(name, value)?.micrometres() / 1_000)
}

fn drawn(it: &SymbolLine, symbology: Symbology) -> Result<Symbol, Fault> {
    let text = given("text", &it.text)?;
    Symbol::of(symbology, text).map_err(|fault| Fault::new("symbol.text", fault))
}

fn message(symbol: &Symbol) -> Result<String, Fault> {
    symbol.message().map_err(|fault| Fault::new("symbol.text", fault))
}

fn bars(it: &SymbolLine, symbology: Symbology, format: &str) -> Result<Value, Fault> {
    let symbol = drawn(it, symbology)?;
    let row = symbol.modules().into_iter().next().unwrap_or_default();
    let modules: String = row.iter().map(|dark| if *dark { '1' } else { '0' }).collect();
    Ok(json!({
        "modules": modules,
        "module_count": row.len(),
        "decoded": message(&symbol)?,
        "format": format,
        "hri": symbol.hri(),
        "symbology_identifier": symbology.identifier(),
    }))
}

/// Answers each bar with the space after it, so the last letter is the first narrow space of the
/// quiet zone: 4 start, 70 data, 3 stop, and that one.
fn itf14(it: &SymbolLine) -> Result<Value, Fault> {
    let symbol = drawn(it, Symbology::Itf14)?;
    let wide = symbol.wide_elements().iter().chain([&false]);
    let letters: String = wide.map(|it| if *it { 'w' } else { 'n' }).collect();
    Ok(json!({
        "elements": letters.len(),
        "narrow_wide": letters,
        "decoded": symbol.text(),
        "hri": symbol.hri(),
        "symbology_identifier": Symbology::Itf14.identifier(),
    }))
}

fn matrix(it: &SymbolLine, symbology: Symbology) -> Result<Value, Fault> {
    let symbol = drawn(it, symbology)?;
    let rows = symbol.modules();
    Ok(json!({
        "size": [rows.len(), rows.first().map_or(0, Vec::len)],
        "version": null,
        "decoded": message(&symbol)?,
        "symbology_identifier": symbology.identifier(),
    }))
}

fn qr(it: &SymbolLine, level: &str) -> Result<Value, Fault> {
    let correction = match level {
        "L" => Correction::L,
        "M" | "" => Correction::M,
        "Q" => Correction::Q,
        "H" => Correction::H,
        _ => return Err(Fault::new("symbol.kind", format!("'{level}': take L, M, Q or H"))),
    };
    let text = given("text", &it.text)?;
    let symbol = QrSymbol::corrected(text, correction);
    let symbol = symbol.map_err(|fault| Fault::new("symbol.text", fault))?;
    let side = symbol.rows().len();
    Ok(json!({
        "size": [side, side],
        "version": symbol.version(),
        "decoded": text,
        "symbology_identifier": Symbology::Qr.identifier(),
    }))
}

fn verdict(faults: &[SizeFault]) -> Value {
    let reasons: Vec<String> = faults.iter().map(ToString::to_string).collect();
    json!({ "ok": faults.is_empty(), "reasons": reasons })
}

fn dimension_rule(it: &SymbolLine) -> Result<Value, Fault> {
    let of: Use = given("use", &it.of_use)?
        .parse()
        .map_err(|fault: String| Fault::new("symbol.use", fault))?;
    let size = Dimensions {
        module: mm("x_mm", &it.x_mm)?,
        height: mm("height_mm", &it.height_mm)?,
        quiet: [
            modules("quiet_left_x", &it.quiet_left_x)?,
            modules("quiet_right_x", &it.quiet_right_x)?,
        ],
    };
    Ok(verdict(&size.faults(of)))
}

fn gs1_128_width(it: &SymbolLine) -> Result<Value, Fault> {
    let text = given("text", &it.text)?;
    let fault = |fault| Fault::new("symbol.text", fault);
    let modules = i64::from(Code128::of_elements(text).map_err(fault)?.module_count());
    let characters = text.chars().filter(|it| !matches!(it, '(' | ')')).count();
    let module = mm("x_mm", &it.x_mm)?;
    let width = Length::from_micrometres((modules + 20) * module.micrometres()).to_string();
    let number: Option<Number> = width.trim_end_matches(" mm").parse().ok();
    let faults = width_faults(modules, characters, module);
    let is_long = |it: &SizeFault| matches!(it, SizeFault::Long { .. });
    let reasons: Vec<String> = faults.iter().map(ToString::to_string).collect();
    Ok(json!({
        "modules": modules,
        "width_with_quiet_mm": number,
        "within_165_10": !faults.iter().any(is_long),
        "characters": characters,
        "within_48": characters <= 48,
        "reasons": reasons,
    }))
}

mod allocate;
mod codes;
mod figure;
mod fit;
mod forecast;
mod gs1;
mod kinds;
mod mm;
mod reorder;
mod route;
mod screw;
mod steerer;
mod symbols;
mod torque;
mod units;
mod weigh;

use std::io::{BufRead, Write};
use std::process::ExitCode;

use clap::Args;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use crate::error::Error;

#[derive(Debug, Args)]
pub(super) struct Calc {
    /// What to compute; left out, the names are listed
    name: Option<String>,
    /// Print the JSON Schema of a line
    #[arg(long)]
    schema: bool,
}

/// Why a line can't be computed.
struct Fault {
    code: &'static str,
    message: String,
}

impl Fault {
    fn new(code: &'static str, message: impl ToString) -> Self {
        Self { code, message: message.to_string() }
    }
}

/// Something that can be computed from one line of JSON.
struct Verb {
    name: &'static str,
    about: &'static str,
    schema: fn() -> Value,
    compute: fn(Value) -> Result<Value, Fault>,
}

const VERBS: [Verb; 14] = [
    Verb {
        name: "allocate",
        about: "which whole orders can leave with the stock there is, proved best; what holds the \
                rest back; the earliest promise for a new one",
        schema: allocate::all_kinds,
        compute: allocate::compute,
    },
    Verb {
        name: "check-digit",
        about: "check digits of GS1 numbers, and ISO/IEC 7064 MOD 37,36 check characters",
        schema: schema::<codes::CheckDigit>,
        compute: codes::check_digit,
    },
    Verb {
        name: "code",
        about: "what a scan means here, or by the GS1 standards: elements, dates, Digital Links",
        schema: schema::<gs1::Code>,
        compute: gs1::code,
    },
    Verb {
        name: "code128",
        about: "the shortest Code 128 or GS1-128 symbol of a text",
        schema: schema::<codes::Code128Line>,
        compute: codes::code128,
    },
    Verb {
        name: "fit",
        about: "whether parts fit each other, and why: headset, clamps, post, shock, skis, screws",
        schema: fit::all_kinds,
        compute: fit::compute,
    },
    Verb {
        name: "forecast",
        about: "what demand will be: the method chosen, intermittent demand, season",
        schema: forecast::all_kinds,
        compute: forecast::compute,
    },
    Verb {
        name: "reorder",
        about: "whether to order a part and how many, and the theory behind it: see the schema",
        schema: reorder::all_kinds,
        compute: reorder::compute,
    },
    Verb {
        name: "route",
        about: "the shortest walk through a block of aisles or several zones, and kits that share one",
        schema: route::all_kinds,
        compute: route::compute,
    },
    Verb {
        name: "screw",
        about: "threads, property classes, torque and preload of metric screws",
        schema: schema::<screw::ScrewLine>,
        compute: screw::screw,
    },
    Verb {
        name: "steerer",
        about: "how long to cut a steerer, and which spacers fill it",
        schema: steerer::all_kinds,
        compute: steerer::compute,
    },
    Verb {
        name: "symbol",
        about: "modules of EAN, UPC, ITF-14, Data Matrix and QR, and the size rules of GS1",
        schema: schema::<symbols::SymbolLine>,
        compute: symbols::symbol,
    },
    Verb {
        name: "torque",
        about: "a stated torque in both units, against a second statement and a preset key",
        schema: schema::<torque::TorqueLine>,
        compute: torque::torque,
    },
    Verb {
        name: "units",
        about: "exact conversion of stated measures, and published pairs of torques",
        schema: schema::<units::UnitsLine>,
        compute: units::units,
    },
    Verb {
        name: "weigh",
        about: "pieces counted by weight, the window of a bag or box, and which loss would show",
        schema: weigh::all_kinds,
        compute: weigh::compute,
    },
];

fn schema<T: utoipa::PartialSchema>() -> Value {
    let mut schema = serde_json::to_value(T::schema()).unwrap_or(Value::Null);
    if let Some(object) = schema.as_object_mut() {
        let dialect = "https://json-schema.org/draft/2020-12/schema";
        object.insert("$schema".to_owned(), json!(dialect));
    }
    schema
}

/// Reads one line's object into what a verb takes.
fn line<T: DeserializeOwned>(value: Value) -> Result<T, Fault> {
    serde_json::from_value(value).map_err(|fault| Fault::new("calc.line", fault))
}

/// Reads one line as [`line`] does, and leaves aside `id` and `source`, which only tell where a
/// case came from.
fn case<T: DeserializeOwned>(mut value: Value) -> Result<T, Fault> {
    if let Some(object) = value.as_object_mut() {
        object.remove("id");
        object.remove("source");
    }
    line(value)
}

/// Computes each line of standard input; a line that is wrong answers an error, and the rest go on.
pub(super) fn run(it: &Calc) -> Result<ExitCode, Error> {
    let Some(name) = &it.name else {
        for verb in &VERBS {
            println!("{:<12} {}", verb.name, verb.about);
        }
        return Ok(ExitCode::SUCCESS);
    };
    let Some(verb) = VERBS.iter().find(|it| it.name == name) else {
        let names: Vec<&str> = VERBS.iter().map(|it| it.name).collect();
        let message = format!("'{name}' can't be computed: take one of {}", names.join(", "));
        return Err(Error::invalid("calc.name", message));
    };
    if it.schema {
        println!("{:#}", (verb.schema)());
        return Ok(ExitCode::SUCCESS);
    }
    compute_lines(verb).map_err(|fault| {
        Error::invalid("calc.stream", format!("standard input or output: {fault}"))
    })
}

fn compute_lines(verb: &Verb) -> std::io::Result<ExitCode> {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        if line.trim().is_empty() {
            continue;
        }
        let answer = serde_json::from_str(&line)
            .map_err(|fault| Fault::new("calc.json", fault))
            .and_then(verb.compute)
            .unwrap_or_else(|it| json!({ "error": { "code": it.code, "message": it.message } }));
        writeln!(out, "{answer}")?;
    }
    out.flush()?;
    Ok(ExitCode::SUCCESS)
}

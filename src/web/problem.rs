use std::fmt;

use actix_web::http::StatusCode;
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;

use crate::domain::verification::LinkError;
use crate::error::Error;

/// An error as problem details (RFC 9457).
#[derive(Debug)]
pub struct Problem(Error);

impl From<Error> for Problem {
    fn from(error: Error) -> Self {
        Self(error)
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// The body of a problem.
#[derive(Serialize, utoipa::ToSchema)]
#[schema(as = Problem)]
pub struct ProblemBody {
    /// What kind of problem, as an address that never changes.
    #[serde(rename = "type")]
    kind: String,
    /// What is wrong and how to mend it.
    title: String,
    /// The HTTP status.
    status: u16,
    /// The problem's code, which never changes: decide by this.
    code: &'static str,
    /// The faults of a file, by line and column.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    faults: Vec<FaultBody>,
}

/// A fault of a file.
#[derive(Serialize, utoipa::ToSchema)]
#[schema(as = Fault)]
pub struct FaultBody {
    /// The line, from 1.
    line: u64,
    /// The column's heading; empty where the whole line is at fault.
    column: String,
    /// What is wrong and how to mend it.
    message: String,
}

/// Returns the status that answers an error.
pub fn status_of(error: &Error) -> StatusCode {
    match error {
        Error::SignedOut | Error::WrongPassword => StatusCode::UNAUTHORIZED,
        Error::Forbidden { .. } | Error::StaleForm => StatusCode::FORBIDDEN,
        Error::NotFound { .. } | Error::Link(LinkError::Wrong) => StatusCode::NOT_FOUND,
        Error::Link(LinkError::Expired) => StatusCode::GONE,
        Error::Invalid { .. }
        | Error::Faults(_)
        | Error::Scan(_)
        | Error::Kit(_)
        | Error::Short(_)
        | Error::Receiving(_)
        | Error::Report(_) => StatusCode::UNPROCESSABLE_ENTITY,
        Error::Conflict { .. } | Error::KeyReused { .. } | Error::Unproved(_) | Error::Stock(_) => {
            StatusCode::CONFLICT
        }
        Error::Database(_) | Error::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

/// Writes our own faults to the log, once and with their cause.
pub fn log(error: &Error) {
    if let Some(cause) = error.hidden_cause() {
        tracing::error!(code = error.code(), cause, "a request failed");
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        status_of(&self.0)
    }

    fn error_response(&self) -> HttpResponse {
        log(&self.0);
        let faults = match &self.0 {
            Error::Faults(faults) => faults.as_slice(),
            _ => &[],
        };
        let body = ProblemBody {
            kind: format!("/problems/{}", self.0.code()),
            title: self.0.to_string(),
            status: self.status_code().as_u16(),
            code: self.0.code(),
            faults: faults
                .iter()
                .map(|it| FaultBody {
                    line: it.line,
                    column: it.column.clone(),
                    message: it.message.clone(),
                })
                .collect(),
        };
        HttpResponse::build(self.status_code()).content_type("application/problem+json").json(body)
    }
}

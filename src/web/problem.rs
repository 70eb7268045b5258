use std::fmt;

use actix_web::http::StatusCode;
use actix_web::http::header::{ALLOW, WWW_AUTHENTICATE};
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;

use crate::domain::verification::LinkError;
use crate::error::{DiskFault, Error};

/// An error as problem details (RFC 9457).
#[derive(Debug)]
pub enum Problem {
    /// What an op answered.
    Op(Error),
    /// A request that can't be read, so that no op was called.
    Request(Unreadable),
}

/// Why a request can't be read.
#[derive(Debug)]
pub struct Unreadable {
    /// The HTTP status.
    pub status: StatusCode,
    /// The problem's code, which never changes.
    pub code: &'static str,
    /// What is wrong and how to mend it.
    pub title: String,
    /// The methods that the address has, where the request's own is none of them.
    pub allow: Option<String>,
}

impl From<Error> for Problem {
    fn from(error: Error) -> Self {
        Self::Op(error)
    }
}

impl Problem {
    /// Returns the problem of a request that can't be read.
    pub fn request(status: StatusCode, code: &'static str, title: impl Into<String>) -> Self {
        Self::Request(Unreadable { status, code, title: title.into(), allow: None })
    }

    fn code(&self) -> &'static str {
        match self {
            Self::Op(error) => error.code(),
            Self::Request(it) => it.code,
        }
    }

    fn faults(&self) -> Vec<FaultBody> {
        let Self::Op(Error::Faults(faults) | Error::Entry(faults)) = self else {
            return Vec::new();
        };
        faults
            .iter()
            .map(|it| FaultBody {
                line: it.line,
                column: it.column.clone(),
                message: it.message.clone(),
            })
            .collect()
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Op(error) => error.fmt(f),
            Self::Request(it) => it.title.fmt(f),
        }
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
    /// The faults of a file by line and column, or of a record by column alone, all on line 1.
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
        Error::Bench(fault) if fault.is_conflict() => StatusCode::CONFLICT,
        Error::Invalid { .. }
        | Error::Faults(_)
        | Error::Entry(_)
        | Error::Short(_)
        | Error::Bench(_)
        | Error::Receiving(_)
        | Error::Purchasing(_)
        | Error::Report(_) => StatusCode::UNPROCESSABLE_ENTITY,
        Error::Conflict { .. } | Error::KeyReused { .. } | Error::Unproved(_) | Error::Stock(_) => {
            StatusCode::CONFLICT
        }
        Error::Disk { fault: DiskFault::Full, .. } => StatusCode::INSUFFICIENT_STORAGE,
        Error::Disk { fault: DiskFault::ReadOnly | DiskFault::Failed, .. } => {
            StatusCode::SERVICE_UNAVAILABLE
        }
        Error::Unsure(_) => StatusCode::SERVICE_UNAVAILABLE,
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
        match self {
            Self::Op(error) => status_of(error),
            Self::Request(it) => it.status,
        }
    }

    fn error_response(&self) -> HttpResponse {
        if let Self::Op(error) = self {
            log(error);
        }
        let status = self.status_code();
        let mut response = HttpResponse::build(status);
        response.content_type("application/problem+json");
        if status == StatusCode::UNAUTHORIZED {
            response.insert_header((WWW_AUTHENTICATE, "Bearer"));
        }
        if let Self::Request(Unreadable { allow: Some(methods), .. }) = self {
            response.insert_header((ALLOW, methods.as_str()));
        }
        response.json(ProblemBody {
            kind: format!("/problems/{}", self.code()),
            title: self.to_string(),
            status: status.as_u16(),
            code: self.code(),
            faults: self.faults(),
        })
    }
}

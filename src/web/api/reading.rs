//! Requests as they come in: bodies, queries, addresses, and what is wrong with them.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::error::{PathError, QueryPayloadError};
use actix_web::http::StatusCode;
use actix_web::web::Bytes;
use actix_web::{FromRequest, HttpMessage, HttpRequest, web};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use serde_json::error::Category;

use crate::exchange::ubl::MOST_BYTES;
use crate::web::problem::Problem;

/// The most bytes of a JSON body: no form of the shop comes near it.
const MOST_JSON: usize = 256 * 1024;

/// The content types of XML.
const XML: [&str; 2] = ["application/xml", "text/xml"];

/// The most bytes of a file: some hundred thousand lines.
const MOST_FILE: usize = 8 * 1024 * 1024;

/// A body that nobody has read yet. A handler reads it once the asker may do what they ask, so
/// that strangers make the service hold nothing.
pub(super) struct Body {
    content_type: String,
    payload: web::Payload,
}

/// The key of a request that says nothing else.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct KeyOnly {
    /// A key of your own for this request.
    pub(super) request_key: String,
}

impl FromRequest for Body {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let content_type = request.content_type().trim().to_ascii_lowercase();
        ready(match web::Payload::from_request(request, payload).into_inner() {
            Ok(payload) => Ok(Self { content_type, payload }),
            Err(fault) => Err(broken_off(fault)),
        })
    }
}

impl Body {
    /// Returns what the JSON says.
    ///
    /// # Errors
    ///
    /// [`Problem::Request`] for another content type, a body that is too large, no JSON, or JSON
    /// that has other fields.
    pub(super) async fn json<T: DeserializeOwned>(self) -> Result<T, Problem> {
        let bytes = self.take(&["application/json"], MOST_JSON).await?;
        if holds_nul(&bytes) {
            return Err(Problem::request(
                StatusCode::UNPROCESSABLE_ENTITY,
                "request.nul",
                "a text of the body has the character U+0000: leave it out",
            ));
        }
        serde_json::from_slice(&bytes).map_err(|fault| match fault.classify() {
            Category::Data => Problem::request(
                StatusCode::UNPROCESSABLE_ENTITY,
                "request.wrong_field",
                format!("the body is not what this address takes: {fault}"),
            ),
            Category::Io | Category::Syntax | Category::Eof => Problem::request(
                StatusCode::BAD_REQUEST,
                "request.malformed_json",
                format!("the body is no JSON: {fault}"),
            ),
        })
    }

    /// Returns a file's bytes.
    ///
    /// # Errors
    ///
    /// [`Problem::Request`] for another content type or a file that is too large.
    pub(super) async fn csv(self) -> Result<Bytes, Problem> {
        self.take(&["text/csv"], MOST_FILE).await
    }

    /// Returns an XML document's bytes.
    ///
    /// # Errors
    ///
    /// [`Problem::Request`] for another content type or a document that is too large.
    pub(super) async fn xml(self) -> Result<Bytes, Problem> {
        self.take(&XML, MOST_BYTES).await
    }

    async fn take(self, wanted: &[&str], most: usize) -> Result<Bytes, Problem> {
        if !wanted.contains(&self.content_type.as_str()) {
            let wanted = wanted.join(" or ");
            return Err(Problem::request(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "request.content_type",
                format!("send the body with content type {wanted}, not '{}'", self.content_type),
            ));
        }
        let too_large = |_| {
            Problem::request(
                StatusCode::PAYLOAD_TOO_LARGE,
                "request.too_large",
                format!("the body has more than {most} bytes: send less at once"),
            )
        };
        self.payload.to_bytes_limited(most).await.map_err(too_large)?.map_err(broken_off)
    }
}

/// Returns whether a text within the JSON has the character U+0000, which PostgreSQL can't keep.
fn holds_nul(json: &[u8]) -> bool {
    fn any(value: &Value) -> bool {
        match value {
            Value::String(text) => text.contains('\0'),
            Value::Array(values) => values.iter().any(any),
            Value::Object(fields) => fields.iter().any(|(name, it)| name.contains('\0') || any(it)),
            Value::Null | Value::Bool(_) | Value::Number(_) => false,
        }
    }
    // JSON has no other way to say it.
    let said = json.windows(6).any(|it| it == b"\\u0000");
    said && serde_json::from_slice(json).is_ok_and(|it| any(&it))
}

fn broken_off(fault: impl std::fmt::Display) -> Problem {
    let title = format!("the body broke off: {fault}; send it again");
    Problem::request(StatusCode::BAD_REQUEST, "request.broken_off", title)
}

/// Returns how a query that can't be read is answered.
pub(super) fn query_config() -> web::QueryConfig {
    web::QueryConfig::default().error_handler(|fault, _| {
        let title = match &fault {
            QueryPayloadError::Deserialize(fault) => {
                format!("the query after '?' can't be read: {fault}")
            }
            fault => format!("the query after '?' can't be read: {fault}"),
        };
        Problem::request(StatusCode::UNPROCESSABLE_ENTITY, "request.wrong_query", title).into()
    })
}

/// Returns how an address with a wrong part is answered.
pub(super) fn path_config() -> web::PathConfig {
    web::PathConfig::default().error_handler(|fault, request| {
        let path = request.path();
        let title = match &fault {
            PathError::Deserialize(fault) => format!("'{path}' is no address here: {fault}"),
            fault => format!("'{path}' is no address here: {fault}"),
        };
        Problem::request(StatusCode::NOT_FOUND, "request.wrong_path", title).into()
    })
}

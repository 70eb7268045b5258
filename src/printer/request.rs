use hyper::body::Bytes;
use ipp::attribute::IppAttribute;
use ipp::model::{DelimiterTag, IppVersion, Operation};
use ipp::request::IppRequestResponse;
use ipp::value::{IppKeyword, IppMimeMediaType, IppName, IppString, IppValue};

use super::{Fault, FaultKind, Target};

/// The name under which jobs are asked for, so that a printer lets the same asker see them again.
const USER: &str = "kitwright";

/// A request that is being put together; what does not go into it is told when it is finished.
pub(super) struct Request {
    request: Result<IppRequestResponse, String>,
}

impl Request {
    /// Returns a request of version 1.1, which every printer takes, about a printer.
    pub(super) fn new(operation: Operation, target: &Target) -> Self {
        // The crate would write ipp:// for an ipps:// address as well.
        let request = IppRequestResponse::new(IppVersion::v1_1(), operation, None);
        let it = Self { request: request.map_err(|fault| fault.to_string()) };
        let uri = IppString::new(target.uri.to_string()).map(IppValue::Uri);
        it.operation("printer-uri", uri)
    }

    /// Adds an attribute of the operation.
    pub(super) fn operation<E: std::fmt::Display>(
        self,
        name: &str,
        value: Result<IppValue, E>,
    ) -> Self {
        self.with(DelimiterTag::OperationAttributes, name, value)
    }

    /// Adds an attribute of the job.
    pub(super) fn job<E: std::fmt::Display>(self, name: &str, value: Result<IppValue, E>) -> Self {
        self.with(DelimiterTag::JobAttributes, name, value)
    }

    fn with<E: std::fmt::Display>(
        mut self,
        group: DelimiterTag,
        name: &str,
        value: Result<IppValue, E>,
    ) -> Self {
        self.request = self.request.and_then(|mut request| {
            let value = value.map_err(|fault| format!("{name}: {fault}"))?;
            let name = IppName::new(name).map_err(|fault| fault.to_string())?;
            request.attributes_mut().add(group, IppAttribute::new(name, value));
            Ok(request)
        });
        self
    }

    /// Adds who asks.
    pub(super) fn by_us(self) -> Self {
        self.operation("requesting-user-name", named(USER))
    }

    /// Adds which attributes are wanted.
    pub(super) fn wanting(self, names: &[&str]) -> Self {
        let all: Result<Vec<IppValue>, _> = names.iter().map(|it| keyword(it)).collect();
        self.operation("requested-attributes", all.map(IppValue::Array))
    }

    /// Returns the bytes of the request, to which a document may be added.
    pub(super) fn bytes(self) -> Result<Bytes, Fault> {
        let request = self.request.map_err(|fault| {
            Fault::new(FaultKind::Refused, format!("the request can't be written: {fault}"))
        })?;
        Ok(request.to_bytes())
    }
}

pub(super) fn keyword(text: &str) -> Result<IppValue, ipp::parser::IppParseError> {
    IppKeyword::new(text).map(IppValue::Keyword)
}

pub(super) fn named(text: &str) -> Result<IppValue, ipp::parser::IppParseError> {
    IppName::new(text).map(IppValue::NameWithoutLanguage)
}

pub(super) fn mime(text: &str) -> Result<IppValue, ipp::parser::IppParseError> {
    IppMimeMediaType::new(text).map(IppValue::MimeMediaType)
}

/// Returns a value that needs no check.
pub(super) fn plain(value: IppValue) -> Result<IppValue, std::convert::Infallible> {
    Ok(value)
}

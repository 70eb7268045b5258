use std::fmt;
use std::str::FromStr;
use std::sync::{Arc, Mutex, PoisonError};

use data_encoding::{HEXLOWER, HEXUPPER};
use sha2::{Digest, Sha256};
use tokio::net::TcpStream;
use tokio_rustls::TlsConnector;
use tokio_rustls::client::TlsStream;
use tokio_rustls::rustls::client::danger::{
    HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier,
};
use tokio_rustls::rustls::crypto::{
    CryptoProvider, ring, verify_tls12_signature, verify_tls13_signature,
};
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use tokio_rustls::rustls::{
    CertificateError, ClientConfig, DigitallySignedStruct, Error, SignatureScheme,
};

use super::{Fault, FaultKind, Target};

/// The SHA-256 digest of a printer's certificate.
///
/// Printers make their certificates themselves, so no authority vouches for them: the owner
/// compares the digest once with the one that the printer shows, and from then on only that
/// certificate is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Certificate([u8; 32]);

impl Certificate {
    fn of(der: &[u8]) -> Self {
        Self(Sha256::digest(der).into())
    }

    /// Returns the digest as 64 small hexadecimal digits, as it is stored.
    pub fn hex(&self) -> String {
        HEXLOWER.encode(&self.0)
    }
}

impl fmt::Display for Certificate {
    /// Writes the digest in pairs with colons, as printers and browsers show it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, byte) in self.0.iter().enumerate() {
            let colon = if at == 0 { "" } else { ":" };
            write!(f, "{colon}{}", HEXUPPER.encode(&[*byte]))?;
        }
        Ok(())
    }
}

impl FromStr for Certificate {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let digits: String = text.chars().filter(|it| *it != ':' && !it.is_whitespace()).collect();
        let bytes = HEXLOWER.decode(digits.to_ascii_lowercase().as_bytes()).ok();
        let digest = bytes.and_then(|it| it.try_into().ok());
        digest.map(Self).ok_or_else(|| {
            format!("'{}' is no SHA-256 digest: it has 64 hexadecimal digits", text.trim())
        })
    }
}

/// Takes one certificate, and notes which one was shown.
#[derive(Debug)]
struct Pinned {
    wanted: Option<Certificate>,
    shown: Mutex<Option<Certificate>>,
    provider: Arc<CryptoProvider>,
}

impl ServerCertVerifier for Pinned {
    fn verify_server_cert(
        &self,
        shown: &CertificateDer<'_>,
        _: &[CertificateDer<'_>],
        _: &ServerName<'_>,
        _: &[u8],
        _: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        let shown = Certificate::of(shown);
        *self.shown.lock().unwrap_or_else(PoisonError::into_inner) = Some(shown);
        if self.wanted == Some(shown) {
            return Ok(ServerCertVerified::assertion());
        }
        Err(CertificateError::ApplicationVerificationFailure.into())
    }

    fn verify_tls12_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let known = &self.provider.signature_verification_algorithms;
        verify_tls12_signature(message, cert, dss, known)
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let known = &self.provider.signature_verification_algorithms;
        verify_tls13_signature(message, cert, dss, known)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.provider.signature_verification_algorithms.supported_schemes()
    }
}

/// Returns the encrypted stream to a printer that shows the certificate that it must.
pub(super) async fn encrypted(
    target: &Target,
    stream: TcpStream,
) -> Result<TlsStream<TcpStream>, Fault> {
    let provider = Arc::new(ring::default_provider());
    let pinned = Arc::new(Pinned {
        wanted: target.certificate,
        shown: Mutex::new(None),
        provider: Arc::clone(&provider),
    });
    let failed = |fault: &dyn fmt::Display| {
        let shown = *pinned.shown.lock().unwrap_or_else(PoisonError::into_inner);
        match shown.filter(|it| target.certificate != Some(*it)) {
            Some(shown) => untrusted(target, shown),
            None => Fault::new(
                FaultKind::Unreachable,
                format!("{} can't be spoken to encrypted: {fault}", target.uri.authority()),
            ),
        }
    };
    let verifier: Arc<dyn ServerCertVerifier> = Arc::<Pinned>::clone(&pinned);
    let config = ClientConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(|fault| failed(&fault))?
        .dangerous()
        .with_custom_certificate_verifier(verifier)
        .with_no_client_auth();
    let name = ServerName::try_from(target.uri.host().to_owned()).map_err(|it| failed(&it))?;
    let connector = TlsConnector::from(Arc::new(config));
    connector.connect(name, stream).await.map_err(|fault| failed(&fault))
}

fn untrusted(target: &Target, shown: Certificate) -> Fault {
    let words = match target.certificate {
        None => {
            format!("the printer shows a certificate that the owner has not confirmed: {shown}")
        }
        Some(_) => format!(
            "the printer shows another certificate than the one that the owner confirmed: {shown}; if it got a new one, the owner confirms that"
        ),
    };
    Fault::new(FaultKind::Untrusted(shown), words)
}

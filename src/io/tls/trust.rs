//! Which certificate of the boat's own server is trusted: the one that was seen first, until a person decides otherwise.
//!
//! A server aboard makes its certificate itself, so no authority vouches for it. The first one is kept as SHA-256 of
//! the whole certificate (the fingerprint that browsers and `openssl x509 -fingerprint -sha256` show), once the server
//! has proved in a handshake that it holds the key. From then on another certificate is refused, as it may be another
//! boat's server or somebody in between. A server that was once vouched for by an authority is never trusted on first
//! use. Signatures of the handshake are verified in each case (RFC 8446 section 4.4.3).
//!
//! Weakness: an attacker in between at the very first connection is trusted; that is why the fingerprint is
//! logged then.
//! Tests: `io::tls::tests`.

use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::{HandshakeSignatureValid, ServerCertVerified, ServerCertVerifier};
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use rustls::{CertificateError, DigitallySignedStruct, Error, OtherError, SignatureScheme};
use tracing::{info, warn};

use crate::io::secrets;

/// Why the server's certificate is refused, although no authority is required.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Distrust {
    /// The certificate differs from the trusted one.
    #[error("the server's certificate has changed: `{kept}` was trusted, `{shown}` is shown now; this may be another boat's server or somebody in between; if the server was set up again, compare `{shown}` with it, remove `{file}` and restart windrode", file = file.display())]
    Changed {
        /// The trusted fingerprint.
        kept: String,
        /// The SHA-256 of the certificate that the server shows.
        shown: String,
        /// The file of the trust record.
        file: PathBuf,
    },
    /// The trust record cannot be read, or is damaged. Nothing is known about the server then.
    #[error("the record of the server's trusted certificate, `{file}`, cannot be read: {why}; run this as the user `windrode`; if the file is damaged, remove it, and the next certificate that the server shows is trusted: compare its fingerprint in the log with the server's", file = file.display())]
    Unreadable {
        /// The file of the trust record.
        file: PathBuf,
        /// The system's message.
        why: String,
    },
}

/// The record of what is trusted, one line: the server's name and the fingerprint, or [`BY_AUTHORITY`].
#[derive(Clone, Debug)]
pub(super) struct Kept {
    folder: PathBuf,
    name: String,
    /// The server was found on the network. Its address may have changed, so a record under another name counts too;
    /// and anybody may be there, so nothing is stored before it is known who it is.
    is_found: bool,
    /// Only the daemon writes: a file of another user's it could not read.
    keeper: Keeper,
    /// Trusted in this run: the disk does not take the record, or it is not stored yet.
    unwritten: Arc<Mutex<Option<String>>>,
}

/// Who connects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keeper {
    /// The daemon records what it trusts.
    Daemon,
    /// A command uses what the daemon recorded, and records nothing.
    Command,
}

impl Kept {
    pub(super) fn new(folder: &Path, name: &str, keeper: Keeper) -> Self {
        Self {
            folder: folder.to_owned(),
            name: name.to_owned(),
            is_found: false,
            keeper,
            unwritten: Arc::default(),
        }
    }

    /// The same, for a server that was found on the network.
    pub(super) fn of_a_found_server(self) -> Self {
        Self {
            is_found: true,
            ..self
        }
    }

    fn unwritten(&self) -> MutexGuard<'_, Option<String>> {
        self.unwritten
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    fn file(&self) -> PathBuf {
        self.folder.join(secrets::TRUSTED)
    }

    /// The trust record of this server. A record of another server, from before the configuration changed,
    /// does not count.
    fn read(&self) -> Result<Option<String>, Distrust> {
        let unreadable = |why: String| Distrust::Unreadable {
            file: self.file(),
            why,
        };
        match secrets::trusted(&self.folder) {
            Ok(text) => match text.trim().split_once(' ') {
                Some((_, what)) if !is_whole(what) => {
                    Err(unreadable("what it holds is no fingerprint".to_owned()))
                }
                Some((name, what)) if name == self.name || self.is_found => {
                    Ok(Some(what.to_owned()))
                }
                Some(_) => Ok(self.unwritten().clone()),
                None => Err(unreadable("it holds no name and fingerprint".to_owned())),
            },
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(self.unwritten().clone()),
            Err(error) => Err(unreadable(error.to_string())),
        }
    }

    fn keep(&self, what: &str) {
        if self.is_found {
            *self.unwritten() = Some(what.to_owned());
        } else {
            self.store(what);
        }
    }

    fn store(&self, what: &str) {
        if self.keeper == Keeper::Command {
            return;
        }
        match secrets::store_trusted(&self.folder, &format!("{} {what}", self.name)) {
            Ok(()) => info!(
                "the server `{}` is trusted from now on by its certificate: {what}",
                self.name
            ),
            Err(error) => {
                warn!(
                    "the server's certificate cannot be kept as `{}`: {error}; {what} is trusted until windrode stops",
                    self.file().display()
                );
                *self.unwritten() = Some(what.to_owned());
            }
        }
    }
}

/// Stores the certificate of a server that was found on the network.
#[derive(Clone, Debug)]
pub struct Pin(pub(super) Kept);

impl Pin {
    /// The server is the one it says it is: what it showed is stored, unless a record was there before.
    pub fn store(&self) {
        // A command stores nothing, and goes on with what it was shown.
        if self.0.keeper == Keeper::Command {
            return;
        }
        let shown = self.0.unwritten().take();
        if let Some(shown) = shown {
            self.0.store(&shown);
        }
    }
}

/// Verifies by authorities, and otherwise by the certificate that was seen first.
#[derive(Debug)]
pub(super) struct FirstUse {
    ordinary: Arc<WebPkiServerVerifier>,
    kept: Kept,
}

impl FirstUse {
    pub(super) const fn new(ordinary: Arc<WebPkiServerVerifier>, kept: Kept) -> Self {
        Self { ordinary, kept }
    }

    /// May a certificate without an authority be trusted?
    fn judge(&self, shown: &str) -> Result<(), Distrust> {
        match self.kept.read()? {
            Some(kept) if kept != shown => Err(Distrust::Changed {
                kept,
                shown: shown.to_owned(),
                file: self.kept.file(),
            }),
            _ => Ok(()),
        }
    }

    /// The server has proved that the certificate is its own.
    fn proved(
        &self,
        certificate: &CertificateDer<'_>,
        proof: Result<HandshakeSignatureValid, Error>,
    ) -> Result<HandshakeSignatureValid, Error> {
        if proof.is_ok() && matches!(self.kept.read(), Ok(None)) {
            self.kept.keep(&fingerprint(certificate));
        }
        proof
    }
}

impl ServerCertVerifier for FirstUse {
    fn verify_server_cert(
        &self,
        end_entity: &CertificateDer<'_>,
        intermediates: &[CertificateDer<'_>],
        server_name: &ServerName<'_>,
        ocsp_response: &[u8],
        now: UnixTime,
    ) -> Result<ServerCertVerified, Error> {
        let ordinary = self.ordinary.verify_server_cert(
            end_entity,
            intermediates,
            server_name,
            ocsp_response,
            now,
        );
        match ordinary {
            Ok(verified) => {
                if matches!(self.kept.read(), Ok(None)) {
                    self.kept.keep(BY_AUTHORITY);
                }
                Ok(verified)
            }
            // No authority vouches for it, or its dates or its name are wrong, which does not matter for a
            // known certificate.
            Err(Error::InvalidCertificate(
                CertificateError::UnknownIssuer
                | CertificateError::Expired
                | CertificateError::ExpiredContext { .. }
                | CertificateError::NotValidYet
                | CertificateError::NotValidYetContext { .. }
                | CertificateError::NotValidForName
                | CertificateError::NotValidForNameContext { .. }
                | CertificateError::Other(_),
            )) => {
                let shown = fingerprint(end_entity);
                self.judge(&shown)
                    .map_err(|why| Error::Other(OtherError(Arc::new(why))))?;
                Ok(ServerCertVerified::assertion())
            }
            Err(error) => Err(error),
        }
    }

    fn verify_tls12_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let proof = self.ordinary.verify_tls12_signature(message, cert, dss);
        self.proved(cert, proof)
    }

    fn verify_tls13_signature(
        &self,
        message: &[u8],
        cert: &CertificateDer<'_>,
        dss: &DigitallySignedStruct,
    ) -> Result<HandshakeSignatureValid, Error> {
        let proof = self.ordinary.verify_tls13_signature(message, cert, dss);
        self.proved(cert, proof)
    }

    fn supported_verify_schemes(&self) -> Vec<SignatureScheme> {
        self.ordinary.supported_verify_schemes()
    }
}

/// Finds an untrusted certificate among the causes of a failure.
#[must_use]
pub fn distrust<'a>(error: &'a (dyn std::error::Error + 'static)) -> Option<&'a Distrust> {
    let mut cause = Some(error);
    while let Some(error) = cause {
        if let Some(found) = error.downcast_ref::<Distrust>() {
            return Some(found);
        }
        // An I/O error hides the error inside it.
        let inner = error
            .downcast_ref::<io::Error>()
            .and_then(io::Error::get_ref);
        if let Some(Error::Other(other)) = inner.and_then(|it| it.downcast_ref::<Error>()) {
            return other.0.downcast_ref();
        }
        if let Some(Error::Other(other)) = error.downcast_ref::<Error>() {
            return other.0.downcast_ref();
        }
        cause = error.source();
    }
    None
}

/// SHA-256 of the certificate, as browsers show it.
fn fingerprint(certificate: &CertificateDer<'_>) -> String {
    let digest = ring::digest::digest(&ring::digest::SHA256, certificate);
    let mut text = "SHA-256".to_owned();
    for (index, byte) in digest.as_ref().iter().enumerate() {
        let before = if index == 0 { ' ' } else { ':' };
        // Writing to a string cannot fail.
        let _ = write!(text, "{before}{byte:02X}");
    }
    text
}

/// Is this what [`Kept::keep`] writes, whole?
fn is_whole(what: &str) -> bool {
    let is_byte =
        |pair: &str| pair.len() == 2 && pair.bytes().all(|digit| digit.is_ascii_hexdigit());
    let is_fingerprint = |digits: &str| {
        let pairs: Vec<&str> = digits.split(':').collect();
        pairs.len() == ring::digest::SHA256_OUTPUT_LEN && pairs.into_iter().all(is_byte)
    };
    what == BY_AUTHORITY || what.strip_prefix("SHA-256 ").is_some_and(is_fingerprint)
}

/// Stored in place of a fingerprint: an authority vouched for the server.
const BY_AUTHORITY: &str = "an authority";

//! TLS: one configuration for phones and push servers, and one for the boat's own server.
//!
//! For other servers, the system's certificates are trusted. If a small computer has none, the bundled
//! Mozilla roots are used, so that a missing package does not mute the alarms. The boat's own server
//! usually has a self-made certificate; [`trust`] decides which of those is trusted. Its WebSocket and its
//! HTTP share that rule.

pub mod trust;

use std::path::Path;
use std::sync::Arc;

use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::ServerCertVerifier;
use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject;
use rustls::{ClientConfig, RootCertStore};
use tracing::error;

use self::trust::{FirstUse, Keeper, Kept, Pin};

/// Builds the configuration; call it once.
#[must_use]
pub fn client_config() -> Arc<ClientConfig> {
    // A second call finds the provider installed, which is fine.
    let _ = rustls::crypto::ring::default_provider().install_default();
    Arc::new(
        ClientConfig::builder()
            .with_root_certificates(roots())
            .with_no_client_auth(),
    )
}

/// The configuration for the boat's own server, which the crew calls `name`.
///
/// With a file of authorities (`server.ca`), only these are trusted. Without it, the usual roots are
/// trusted and, on first use, the server's self-made certificate, which is stored in the state `folder`. If
/// the file of authorities cannot be read, that is logged, and only the usual roots are trusted: nothing is
/// trusted on first use then.
#[must_use]
pub fn server_config(
    authorities: Option<&Path>,
    folder: &Path,
    name: &str,
    keeper: Keeper,
) -> Arc<ClientConfig> {
    config_for(authorities, Kept::new(folder, name, keeper))
}

/// For a server that was found on the network.
#[derive(Clone, Debug)]
pub struct FoundTls {
    /// What to connect with.
    pub config: Arc<ClientConfig>,
    /// To store what was trusted, once it is known who the server is.
    pub pin: Pin,
}

/// The same for a server that was found on the network and says it is the one with this `self_id`: a certificate that
/// was kept before, under whatever address, counts for it. Another one is trusted for as long as this configuration
/// lives, and stored only on request: anybody may announce this id.
#[must_use]
pub fn found_server_config(
    authorities: Option<&Path>,
    folder: &Path,
    self_id: &str,
    keeper: Keeper,
) -> FoundTls {
    let kept = Kept::new(folder, self_id, keeper).of_a_found_server();
    FoundTls {
        config: config_for(authorities, kept.clone()),
        pin: Pin(kept),
    }
}

fn config_for(authorities: Option<&Path>, kept: Kept) -> Arc<ClientConfig> {
    let usual = client_config();
    let (roots, first_use) = match authorities {
        None => (roots(), true),
        Some(file) => match read_authorities(file) {
            Ok(roots) => (roots, false),
            Err(why) => {
                error!("{why}; only the usual authorities are trusted for the server");
                (roots(), false)
            }
        },
    };
    let provider = Arc::clone(usual.crypto_provider());
    let verifier = WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider).build();
    let ordinary = match verifier {
        Ok(ordinary) => ordinary,
        Err(why) => {
            error!("`server.ca` holds no certificate that can be used: {why}");
            return usual;
        }
    };
    let verifier: Arc<dyn ServerCertVerifier> = if first_use {
        Arc::new(FirstUse::new(ordinary, kept))
    } else {
        ordinary
    };
    Arc::new(
        ClientConfig::builder()
            .dangerous()
            .with_custom_certificate_verifier(verifier)
            .with_no_client_auth(),
    )
}

fn roots() -> RootCertStore {
    let mut roots = RootCertStore::empty();
    let system = rustls_native_certs::load_native_certs();
    roots.add_parsable_certificates(system.certs);
    if roots.is_empty() {
        roots.extend(webpki_roots::TLS_SERVER_ROOTS.iter().cloned());
    }
    roots
}

/// The authorities in a PEM file.
fn read_authorities(file: &Path) -> Result<RootCertStore, String> {
    let about = |why: &dyn std::fmt::Display| {
        format!(
            "`server.ca`: the certificates in `{}` cannot be read: {why}",
            file.display()
        )
    };
    let mut roots = RootCertStore::empty();
    for certificate in CertificateDer::pem_file_iter(file).map_err(|why| about(&why))? {
        let certificate = certificate.map_err(|why| about(&why))?;
        roots.add(certificate).map_err(|why| about(&why))?;
    }
    if roots.is_empty() {
        return Err(about(&"the file holds no certificate in PEM form"));
    }
    Ok(roots)
}

#[cfg(test)]
mod tests;

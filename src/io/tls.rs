//! One TLS configuration for everything: the socket to the data server and HTTP.
//!
//! The system's certificates are trusted; where a small computer has none, the bundled Mozilla
//! roots are, so that a missing package does not mute the alarms.

use std::sync::Arc;

use rustls::{ClientConfig, RootCertStore};

/// Builds the configuration; to be called once.
#[must_use]
pub fn client_config() -> Arc<ClientConfig> {
    // A second call finds the provider installed, which is as well.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let mut roots = RootCertStore::empty();
    let system = rustls_native_certs::load_native_certs();
    roots.add_parsable_certificates(system.certs);
    if roots.is_empty() {
        roots.extend(webpki_roots::TLS_SERVER_ROOTS.iter().cloned());
    }
    Arc::new(
        ClientConfig::builder()
            .with_root_certificates(roots)
            .with_no_client_auth(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_are_always_roots_to_trust() {
        // Without any root the verifier would refuse every server; building it would fail.
        let config = client_config();
        assert!(
            config
                .crypto_provider()
                .signature_verification_algorithms
                .all
                .len()
                > 1
        );
    }
}

use std::sync::Arc;

use rustls::pki_types::{PrivateKeyDer, ServerName};
use rustls::{ClientConnection, ServerConfig, ServerConnection};

use super::trust::{Distrust, Keeper, distrust};
use super::*;

#[test]
fn there_are_always_roots_to_trust() {
    // Without any root the verifier would refuse every server, and building it would fail.
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

#[test]
fn the_certificate_seen_first_is_trusted_and_another_one_refused() {
    let folder = tempfile::tempdir().unwrap();
    let connect = |server| shake_hands(&daemons(None, folder.path(), "tern:3443"), server);
    connect(TERN).unwrap();
    let file = folder.path().join("trusted-server");
    // As `openssl x509 -in tern.pem -noout -fingerprint -sha256` prints it.
    let kept = std::fs::read_to_string(&file).unwrap();
    assert_eq!(kept, format!("tern:3443 {TERN_FINGERPRINT}\n"));
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = file.metadata().unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }
    connect(TERN).unwrap();
    let why = connect(OTHER).unwrap_err();
    let told = distrust(&why).unwrap().to_string();
    for word in [
        "has changed",
        TERN_FINGERPRINT,
        "another boat's server",
        "remove `",
    ] {
        assert!(told.contains(word), "{told}");
    }
    // The same error as the socket reports it.
    let why = std::io::Error::new(std::io::ErrorKind::InvalidData, why);
    assert!(matches!(distrust(&why), Some(Distrust::Changed { .. })));
    assert_eq!(
        std::fs::read_to_string(&file).unwrap(),
        kept,
        "a refused one changes nothing"
    );
    // A person decides.
    std::fs::remove_file(&file).unwrap();
    connect(OTHER).unwrap();
    assert!(connect(TERN).is_err());
    // Another server is configured.
    shake_hands(&daemons(None, folder.path(), "new:3443"), TERN).unwrap();
}

/// The certificate is public, so anybody may present it; the key is not.
#[test]
fn a_trusted_certificate_without_its_key_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let config = daemons(None, folder.path(), "tern:3443");
    let stolen = (TERN.0, OTHER.1);
    assert!(shake_hands(&config, stolen).is_err());
    assert!(
        !folder.path().join("trusted-server").exists(),
        "nothing is kept before it is proved"
    );
    shake_hands(&config, TERN).unwrap();
    assert!(shake_hands(&config, stolen).is_err());
}

#[test]
fn with_a_file_of_authorities_nothing_is_trusted_on_first_use() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("ca.pem");
    std::fs::write(&file, include_str!("certificates/authority.pem")).unwrap();
    let config = daemons(Some(&file), folder.path(), "tern:3443");
    shake_hands(&config, SIGNED).unwrap();
    assert!(shake_hands(&config, TERN).is_err());
    assert!(!folder.path().join("trusted-server").exists());
    // An unreadable file does not make anything more trusted.
    for broken in [folder.path().join("nowhere"), folder.path().to_owned()] {
        let config = daemons(Some(&broken), folder.path(), "tern:3443");
        assert!(shake_hands(&config, SIGNED).is_err());
        assert!(shake_hands(&config, TERN).is_err());
    }
}

#[test]
fn an_unreadable_trust_record_is_reported() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("trusted-server")).unwrap();
    let config = daemons(None, folder.path(), "tern:3443");
    let why = shake_hands(&config, TERN).unwrap_err();
    assert!(matches!(distrust(&why), Some(Distrust::Unreadable { .. })));
    let told = distrust(&why).unwrap().to_string();
    assert!(!told.contains("another boat"), "{told}");
    std::fs::remove_dir(folder.path().join("trusted-server")).unwrap();
    // Once an authority has vouched for the server, a self-made certificate is a step back.
    std::fs::write(
        folder.path().join("trusted-server"),
        "tern:3443 an authority\n",
    )
    .unwrap();
    let why = shake_hands(&config, TERN).unwrap_err();
    assert!(matches!(distrust(&why), Some(Distrust::Changed { .. })));
}

/// A power cut or a bad memory card damages it. That does not point to another server, and no certificate is trusted.
#[test]
fn a_damaged_trust_record_is_told_as_that_with_the_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("trusted-server");
    let connect = |server| shake_hands(&daemons(None, folder.path(), "tern:3443"), server);
    connect(TERN).unwrap();
    let whole = std::fs::read(&file).unwrap();
    let mut flipped = whole.clone();
    flipped[30] = b'#';
    for damaged in [
        &[][..],
        b"tern:3443",
        &whole[..40],
        &whole[..whole.len() - 4],
        &flipped,
        b"tern:3443 \xff\xfe",
        &[0; 64],
    ] {
        std::fs::write(&file, damaged).unwrap();
        for server in [TERN, OTHER] {
            let why = connect(server).unwrap_err();
            let told = distrust(&why).unwrap();
            assert!(matches!(told, Distrust::Unreadable { .. }), "{told}");
            let told = told.to_string();
            assert!(told.contains("remove it"), "{told}");
            assert!(!told.contains("another boat"), "{told}");
        }
        assert_eq!(
            std::fs::read(&file).unwrap(),
            damaged,
            "it is left for a person"
        );
    }
    std::fs::remove_file(&file).unwrap();
    connect(TERN).unwrap();
    assert_eq!(std::fs::read(&file).unwrap(), whole);
}

/// The address of a server in the harbour's network may change; its certificate does not.
#[test]
fn a_server_that_was_found_goes_by_the_certificate_that_is_kept_under_whatever_address() {
    let folder = tempfile::tempdir().unwrap();
    let found = || found(folder.path());
    shake_hands(&daemons(None, folder.path(), "tern:3443"), TERN).unwrap();
    shake_hands(&found().config, TERN).unwrap();
    assert!(shake_hands(&found().config, OTHER).is_err());
}

/// Anybody may announce our id: his certificate is not stored before he has greeted, and is the same until then.
#[test]
fn the_certificate_of_a_server_that_was_found_is_stored_only_once_it_is_known_who_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("trusted-server");
    let theirs = found(folder.path());
    shake_hands(&theirs.config, OTHER).unwrap();
    assert!(shake_hands(&theirs.config, TERN).is_err());
    drop(theirs);
    assert!(!file.exists());
    let ours = found(folder.path());
    shake_hands(&ours.config, TERN).unwrap();
    ours.pin.store();
    let kept = std::fs::read_to_string(&file).unwrap();
    assert_eq!(
        kept,
        format!("urn:mrn:imo:mmsi:230099999 {TERN_FINGERPRINT}\n")
    );
    // What is there stays.
    ours.pin.store();
    shake_hands(&ours.config, TERN).unwrap();
    assert!(shake_hands(&ours.config, OTHER).is_err());
    assert!(shake_hands(&found(folder.path()).config, OTHER).is_err());
    assert_eq!(std::fs::read_to_string(&file).unwrap(), kept);
}

/// The first connection asks who the server is, and the second must reach the same one.
#[test]
fn a_command_accepts_no_other_certificate_at_its_second_connection() {
    let folder = tempfile::tempdir().unwrap();
    let id = "urn:mrn:imo:mmsi:230099999";
    let found = found_server_config(None, folder.path(), id, Keeper::Command);
    shake_hands(&found.config, TERN).unwrap();
    found.pin.store();
    assert!(!folder.path().join("trusted-server").exists());
    assert!(shake_hands(&found.config, OTHER).is_err());
    shake_hands(&found.config, TERN).unwrap();
}

fn found(folder: &Path) -> FoundTls {
    found_server_config(None, folder, "urn:mrn:imo:mmsi:230099999", Keeper::Daemon)
}

/// A command that runs as root would leave a file that the daemon cannot read.
#[test]
fn a_command_goes_by_what_the_daemon_noted_and_notes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let command = server_config(None, folder.path(), "tern:3443", Keeper::Command);
    shake_hands(&command, OTHER).unwrap();
    assert!(!folder.path().join("trusted-server").exists());
    shake_hands(&daemons(None, folder.path(), "tern:3443"), TERN).unwrap();
    assert!(shake_hands(&command, OTHER).is_err());
    shake_hands(&command, TERN).unwrap();
}

fn daemons(authorities: Option<&Path>, folder: &Path, name: &str) -> Arc<ClientConfig> {
    server_config(authorities, folder, name, Keeper::Daemon)
}

/// A handshake in memory between our side and a server with this certificate and key.
fn shake_hands(config: &Arc<ClientConfig>, server: (&str, &str)) -> Result<(), rustls::Error> {
    let certificate = CertificateDer::from_pem_slice(server.0.as_bytes()).unwrap();
    let key = PrivateKeyDer::from_pem_slice(server.1.as_bytes()).unwrap();
    // The usual builder checks that they match and would refuse a stolen certificate.
    let key = rustls::crypto::ring::sign::any_supported_type(&key).unwrap();
    let certified = rustls::sign::CertifiedKey::new(vec![certificate], key);
    let resolver = rustls::sign::SingleCertAndKey::from(certified);
    let theirs = ServerConfig::builder()
        .with_no_client_auth()
        .with_cert_resolver(Arc::new(resolver));
    let name = ServerName::try_from("tern.example").unwrap();
    let mut client = ClientConnection::new(Arc::clone(config), name).unwrap();
    let mut server = ServerConnection::new(Arc::new(theirs)).unwrap();
    while client.is_handshaking() {
        let mut wire = Vec::new();
        while client.wants_write() {
            client.write_tls(&mut wire).unwrap();
        }
        let mut rest = wire.as_slice();
        while !rest.is_empty() {
            server.read_tls(&mut rest).unwrap();
            server.process_new_packets().unwrap();
        }
        let mut wire = Vec::new();
        while server.wants_write() {
            server.write_tls(&mut wire).unwrap();
        }
        let mut rest = wire.as_slice();
        while !rest.is_empty() {
            client.read_tls(&mut rest).unwrap();
            client.process_new_packets()?;
        }
    }
    Ok(())
}

/// Made with openssl only for these tests: P-256, valid for a hundred years.
const TERN: (&str, &str) = (
    include_str!("certificates/tern.pem"),
    include_str!("certificates/tern.key"),
);
const OTHER: (&str, &str) = (
    include_str!("certificates/other.pem"),
    include_str!("certificates/other.key"),
);
/// Signed by the authority in `authority.pem`.
const SIGNED: (&str, &str) = (
    include_str!("certificates/signed.pem"),
    include_str!("certificates/signed.key"),
);
const TERN_FINGERPRINT: &str = "SHA-256 11:28:AB:05:7B:93:1F:5A:4B:DB:66:1B:36:7B:1C:E3:B3:E2:4A:B6:95:A5:38:8D:B8:C0:B4:F3:A2:E4:44:4C";

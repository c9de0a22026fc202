//! Tokens: read from files, kept out of logs, and written so that only the daemon can read them.
//!
//! A token that the data server granted on request is stored beside the journal with mode 0600. It is
//! written to a temporary file, flushed to disk and renamed over the old one, so a power cut leaves the old
//! or the new token, never half of one.

use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

/// A text that must not be shown. Prints as `<secret>`.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

/// Why a token could not be read or stored.
#[derive(Debug, thiserror::Error)]
pub enum SecretError {
    /// The file cannot be read.
    #[error("the token file `{file}` cannot be read: {reason}", file = file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// The system's message.
        reason: io::Error,
    },
    /// The file does not hold a valid token.
    #[error("the token file `{file}` {fault}; it must hold the token alone on one line", file = file.display())]
    NoToken {
        /// The file.
        file: PathBuf,
        /// What is wrong, without the content.
        fault: &'static str,
    },
    /// Users other than owner and group may read the file, or users other than the owner may change it.
    #[error("the token file `{file}` has mode `{mode:04o}`, so others can read or change it; tighten it with `chmod 0640 {file}`", file = file.display())]
    Loose {
        /// The file.
        file: PathBuf,
        /// Its permissions.
        mode: u32,
    },
    /// The token cannot be written.
    #[error("the token cannot be stored as `{file}`: {reason}; it would have to be granted again after the next start", file = file.display())]
    Unwritable {
        /// The file.
        file: PathBuf,
        /// The system's message.
        reason: io::Error,
    },
}

impl Secret {
    /// Takes a token that is valid in an HTTP header: visible ASCII without blanks (RFC 6750 section 2.1
    /// allows even less). Describes an error without showing the token.
    pub fn token(text: &str) -> Result<Self, &'static str> {
        if text.is_empty() {
            Err("is empty")
        } else if text.len() > LONGEST_TOKEN {
            Err("is longer than 8 KiB")
        } else if !text.bytes().all(|byte| byte.is_ascii_graphic()) {
            Err("has blanks, line breaks or letters beyond ASCII within")
        } else {
            Ok(Self(text.to_owned()))
        }
    }

    /// The secret itself, for the code that must send it.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("<secret>")
    }
}

impl fmt::Display for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("<secret>")
    }
}

/// Reads the token in `file`, which must contain nothing else and be readable only by its owner and group.
pub fn read_token(file: &Path) -> Result<Secret, SecretError> {
    let unreadable = |reason| SecretError::Unreadable {
        file: file.to_owned(),
        reason,
    };
    let no_token = |fault| SecretError::NoToken {
        file: file.to_owned(),
        fault,
    };
    let mut bytes = Vec::new();
    let open = File::open(file).map_err(unreadable)?;
    // Checked on the open file: the name could refer to another file meanwhile.
    let mode = open.metadata().map_err(unreadable)?.permissions().mode() & 0o777;
    // A wrong path may lead to an endless file.
    open.take(LONGEST_TOKEN as u64 + 16)
        .read_to_end(&mut bytes)
        .map_err(unreadable)?;
    if mode & LOOSE != 0 {
        let file = file.to_owned();
        return Err(SecretError::Loose { file, mode });
    }
    let text = String::from_utf8(bytes).map_err(|_| no_token("is not text"))?;
    Secret::token(text.trim()).map_err(no_token)
}

/// What to tell the operator when users other than owner and group may read `file`; the group may read it
/// but not write.
#[must_use]
pub fn loose_mode(file: &Path) -> Option<String> {
    let mode = fs::metadata(file).ok()?.permissions().mode() & 0o777;
    (mode & LOOSE != 0).then(|| {
        format!(
            "`{file}` holds a secret and has mode `{mode:04o}`; tighten it with `chmod 0640 {file}`",
            file = file.display()
        )
    })
}

/// The token that was granted earlier and stored in the state directory, if there is one.
pub fn stored_token(directory: &Path) -> Result<Option<Secret>, SecretError> {
    match read_token(&directory.join(GRANTED)) {
        Ok(found) => Ok(Some(found)),
        Err(SecretError::Unreadable { reason, .. }) if reason.kind() == io::ErrorKind::NotFound => {
            Ok(None)
        }
        Err(error) => Err(error),
    }
}

/// Stores a granted token in the state directory, durable before it returns.
pub fn store_token(directory: &Path, token: &Secret) -> Result<(), SecretError> {
    let file = directory.join(GRANTED);
    replace(directory, &file, token.reveal())
        .map_err(|reason| SecretError::Unwritable { file, reason })
}

/// Stores the address of an access request that a person has not decided yet, so that a restart goes on
/// waiting for it; `None` forgets it. Losing it only costs a second request.
pub fn remember_request(directory: &Path, href: Option<&str>) -> io::Result<()> {
    let file = directory.join(REQUESTED);
    match href {
        Some(href) => replace(directory, &file, href),
        None => match fs::remove_file(&file) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
            _ => Ok(()),
        },
    }
}

/// The address of an access request from an earlier run, if one is still open.
#[must_use]
pub fn open_request(directory: &Path) -> Option<String> {
    let text = fs::read_to_string(directory.join(REQUESTED)).ok()?;
    let href = text.trim();
    (!href.is_empty() && href.len() <= LONGEST_TOKEN).then(|| href.to_owned())
}

/// The stored record about the server's certificate.
pub(crate) fn trusted(directory: &Path) -> io::Result<String> {
    record(&directory.join(TRUSTED))
}

fn record(file: &Path) -> io::Result<String> {
    let mut text = String::new();
    File::open(file)?.take(1024).read_to_string(&mut text)?;
    Ok(text)
}

/// Stores which certificate of the server is trusted, durable before it returns.
pub(crate) fn store_trusted(directory: &Path, text: &str) -> io::Result<()> {
    replace(directory, &directory.join(TRUSTED), text)
}

/// The stored record of the server that windrode is linked to.
pub(crate) fn paired(directory: &Path) -> io::Result<Option<String>> {
    match record(&paired_file(directory)) {
        Ok(text) => Ok(Some(text)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// Stores which server windrode is linked to, durable before it returns.
pub(crate) fn store_paired(directory: &Path, text: &str) -> io::Result<()> {
    replace(directory, &paired_file(directory), text)
}

/// The file of that record.
pub(crate) fn paired_file(directory: &Path) -> PathBuf {
    directory.join(PAIRED)
}

fn replace(directory: &Path, file: &Path, text: &str) -> io::Result<()> {
    let fresh = file.with_extension("new");
    // A file left behind by a power cut may have any mode.
    match fs::remove_file(&fresh) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        _ => {}
    }
    let mut open = OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(&fresh)?;
    open.write_all(text.as_bytes())?;
    open.write_all(b"\n")?;
    open.sync_all()?;
    fs::rename(&fresh, file)?;
    File::open(directory)?.sync_all()
}

/// Readable or writable by others, or writable by the group.
const LOOSE: u32 = 0o026;
/// The granted token's name in the state directory.
const GRANTED: &str = "token";
/// The name of the server's trust record there.
pub(crate) const TRUSTED: &str = "trusted-server";
/// The name of the record of the server that windrode is linked to.
const PAIRED: &str = "paired-server";
/// The name of the open access request there.
const REQUESTED: &str = "access-request";
/// Servers grant JSON web tokens of a few hundred bytes.
const LONGEST_TOKEN: usize = 8192;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn write(dir: &Path, content: &[u8], mode: u32) -> PathBuf {
        let file = dir.join("granted.txt");
        fs::write(&file, content).unwrap();
        fs::set_permissions(&file, fs::Permissions::from_mode(mode)).unwrap();
        file
    }

    #[test]
    fn an_open_request_is_remembered_and_forgotten() {
        let dir = tempfile::tempdir().unwrap();
        assert_eq!(open_request(dir.path()), None);
        remember_request(dir.path(), Some("/signalk/v1/requests/6a53")).unwrap();
        assert_eq!(
            open_request(dir.path()).as_deref(),
            Some("/signalk/v1/requests/6a53")
        );
        remember_request(dir.path(), None).unwrap();
        remember_request(dir.path(), None).unwrap();
        assert_eq!(open_request(dir.path()), None);
    }

    #[test]
    fn a_secret_never_shows_itself() {
        let secret = Secret::token("s3same").unwrap();
        assert_eq!(format!("{secret} {secret:?}"), "<secret> <secret>");
        assert_eq!(secret.reveal(), "s3same");
    }

    #[test]
    fn a_token_file_is_read_and_a_loose_one_is_refused() {
        let dir = tempfile::tempdir().unwrap();
        for mode in [0o600, 0o640, 0o400] {
            let file = write(dir.path(), b" s3same\n", mode);
            assert_eq!(read_token(&file).unwrap().reveal(), "s3same");
        }
        for mode in [0o644, 0o660, 0o604] {
            let file = write(dir.path(), b"s3same", mode);
            assert_eq!(
                read_token(&file).unwrap_err().to_string(),
                format!(
                    "the token file `{0}` has mode `{mode:04o}`, so others can read or change it; tighten it with `chmod 0640 {0}`",
                    file.display()
                )
            );
        }
    }

    #[test]
    fn an_invalid_token_is_refused_without_being_shown() {
        let dir = tempfile::tempdir().unwrap();
        let long = vec![b'a'; 9000];
        for (content, fault) in [
            (b"\n".as_slice(), "is empty"),
            (b"two words", "has blanks"),
            (b"line\r\nInjected: header", "has blanks"),
            (b"\xff\xfe", "is not text"),
            (&long, "is longer than 8 KiB"),
        ] {
            let file = write(dir.path(), content, 0o600);
            let text = read_token(&file).unwrap_err().to_string();
            assert!(text.contains(fault), "{text}");
            assert!(!text.contains("words") && !text.contains("Injected"));
        }
        let missing = read_token(&dir.path().join("nowhere")).unwrap_err();
        assert!(matches!(missing, SecretError::Unreadable { .. }));
    }

    #[test]
    fn a_granted_token_is_kept_for_our_eyes_only_and_replaces_the_old_one() {
        let dir = tempfile::tempdir().unwrap();
        assert!(stored_token(dir.path()).unwrap().is_none());
        for text in ["first", "second"] {
            // The remains of an interrupted attempt must not get in the way.
            fs::write(dir.path().join("token.new"), "half").unwrap();
            store_token(dir.path(), &Secret::token(text).unwrap()).unwrap();
            let found = stored_token(dir.path()).unwrap().unwrap();
            assert_eq!(found.reveal(), text);
        }
        let mode = fs::metadata(dir.path().join("token"))
            .unwrap()
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600);
        assert!(!dir.path().join("token.new").exists());
        let text = store_token(&dir.path().join("gone"), &Secret::token("x").unwrap())
            .unwrap_err()
            .to_string();
        assert!(text.contains("would have to be granted again"), "{text}");
    }
}

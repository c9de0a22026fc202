//! Mail by SMTP.
//!
//! `smtps://` is encrypted from the first byte (RFC 8314). `smtp://` uses STARTTLS and sends nothing
//! without it, except to a mail server on this computer. All mails about one situation refer to one
//! another, so that a mail reader shows them as one conversation.
//!
//! Weakness: only the system's roots verify certificates, not the bundled ones.

use lettre::message::header::ContentType;
use lettre::message::{Attachment, Mailbox, MultiPart, SinglePart};
use lettre::transport::smtp::authentication::Credentials;
use lettre::transport::smtp::client::{Tls, TlsParameters};
use lettre::{AsyncSmtpTransport, AsyncTransport, Message as Letter, Tokio1Executor};
use std::time::Duration;

use super::later;
use crate::io::push::settings::PushUrl;
use crate::io::secrets::Secret;
use crate::outbox::words::{Message, MessageKind, Parcel, Verdict};

/// A mail server, a sender and a receiver.
pub(super) struct Mail {
    transport: AsyncSmtpTransport<Tokio1Executor>,
    from: Mailbox,
    to: Mailbox,
}

impl std::fmt::Debug for Mail {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The transport holds the password.
        f.debug_struct("Mail").finish_non_exhaustive()
    }
}

impl Mail {
    pub(super) fn open(
        url: &PushUrl,
        login: Option<(String, Secret)>,
        from: &str,
        to: &str,
    ) -> Result<Self, String> {
        let mailbox = |text: &str| -> Result<Mailbox, String> {
            text.parse()
                .map_err(|error| format!("`{text}` is no mail address: {error}"))
        };
        let host = url.0.host_str().unwrap_or_default();
        let host = host
            .trim_start_matches('[')
            .trim_end_matches(']')
            .to_owned();
        let parameters = || TlsParameters::new(host.clone()).map_err(|error| error.to_string());
        let (tls, port) = if url.0.scheme() == "smtps" {
            (Tls::Wrapper(parameters()?), 465)
        } else if is_loopback(&host) {
            (Tls::None, 25)
        } else {
            (Tls::Required(parameters()?), 587)
        };
        let mut builder = AsyncSmtpTransport::<Tokio1Executor>::builder_dangerous(host)
            .port(url.0.port().unwrap_or(port))
            .tls(tls)
            .timeout(Some(LIMIT));
        if let Some((user, password)) = login {
            builder = builder.credentials(Credentials::new(user, password.reveal().to_owned()));
        }
        Ok(Self {
            transport: builder.build(),
            from: mailbox(from)?,
            to: mailbox(to)?,
        })
    }

    pub(super) async fn carry(&self, parcel: &Parcel, picture: Option<&[u8]>) -> Verdict {
        let message = match parcel {
            Parcel::Show(message) | Parcel::Clear(message) => message,
            Parcel::Renew { .. } | Parcel::Withdraw(_) => return Verdict::Sent,
            Parcel::Probe => {
                return match self.transport.test_connection().await {
                    Ok(true) => Verdict::Sent,
                    Ok(false) => later("the mail server does not answer"),
                    Err(error) => judge(&error),
                };
            }
        };
        match self.letter(message, picture) {
            Ok(letter) => match self.transport.send(letter).await {
                Ok(_) => Verdict::Sent,
                Err(error) => judge(&error),
            },
            Err(error) => Verdict::Refused(error.to_string()),
        }
    }

    fn letter(
        &self,
        message: &Message,
        picture: Option<&[u8]>,
    ) -> Result<Letter, lettre::error::Error> {
        let conversation = format!("<{}@windrode.invalid>", message.id);
        let mut builder = Letter::builder()
            .from(self.from.clone())
            .to(self.to.clone())
            .subject(message.title.clone())
            .references(conversation.clone())
            .in_reply_to(conversation);
        if matches!(message.event, MessageKind::Alert | MessageKind::Dark) {
            builder = builder.raw_header(lettre::message::header::HeaderValue::new(
                lettre::message::header::HeaderName::new_from_ascii_str("X-Priority"),
                "1 (Highest)".to_owned(),
            ));
        }
        let text = SinglePart::plain(format!("{}\n", message.message));
        match (picture, "image/png".parse::<ContentType>()) {
            (Some(picture), Ok(png)) => {
                builder.multipart(MultiPart::mixed().singlepart(text).singlepart(
                    Attachment::new("anchor.png".to_owned()).body(picture.to_vec(), png),
                ))
            }
            _ => builder.singlepart(text),
        }
    }
}

fn judge(error: &lettre::transport::smtp::Error) -> Verdict {
    let mut words = error.to_string();
    let mut source = std::error::Error::source(error);
    while let Some(inner) = source {
        let text = inner.to_string();
        if !words.contains(&text) {
            words = format!("{words}: {text}");
        }
        source = inner.source();
    }
    if error.is_permanent() {
        Verdict::Refused(words)
    } else {
        later(words)
    }
}

fn is_loopback(host: &str) -> bool {
    host == "localhost"
        || host
            .parse::<std::net::IpAddr>()
            .is_ok_and(|address| address.is_loopback())
}

const LIMIT: Duration = Duration::from_secs(20);

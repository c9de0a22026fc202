//! A webhook: each message is posted as JSON according to `schemas/push.schema.json`. The ping is here too:
//! an address ashore that is called while the watch runs, and that raises the alarm when the calls stop.
//!
//! With a key the body is signed, HMAC-SHA256 in hexadecimal digits (RFC 2104, FIPS 198-1), in
//! [`SIGNATURE_HEADER`], so that the receiver can verify that a message is ours. The body contains the time
//! and the id, by which the receiver can refuse an old one.

use std::sync::Arc;

use data_encoding::HEXLOWER;
use reqwest::header::CONTENT_TYPE;
use reqwest::{Client, Url};
use ring::hmac;

use super::http;
use super::later;
use crate::io::push::settings::PushUrl;
use crate::io::secrets::Secret;
use crate::outbox::words::{Parcel, Verdict};

/// The header with the signature: `sha256=` and 64 digits.
pub const SIGNATURE_HEADER: &str = "x-windrode-signature";

/// An address that accepts messages.
#[derive(Debug)]
pub(super) struct Webhook {
    client: Client,
    url: Url,
    token: Option<Secret>,
    key: Option<hmac::Key>,
}

impl Webhook {
    pub(super) fn open(
        url: PushUrl,
        token: Option<Secret>,
        key: Option<Secret>,
        tls: &Arc<rustls::ClientConfig>,
    ) -> Result<Self, String> {
        let key = key.map(|key| hmac::Key::new(hmac::HMAC_SHA256, key.reveal().as_bytes()));
        Ok(Self {
            client: http::client(tls)?,
            url: url.0,
            token,
            key,
        })
    }

    pub(super) async fn carry(&self, parcel: &Parcel) -> Verdict {
        let message = match parcel {
            Parcel::Show(message) | Parcel::Clear(message) => message,
            // Only push servers hold a message for later.
            Parcel::Renew { .. } | Parcel::Withdraw(_) => return Verdict::Sent,
            Parcel::Probe => {
                return match http::send(self.client.head(self.url.clone())).await {
                    // It accepts only POST, so it is there.
                    (Verdict::Refused(_), Some(_)) => Verdict::Sent,
                    (verdict, _) => verdict,
                };
            }
        };
        let body = match serde_json::to_vec(message) {
            Ok(body) => body,
            Err(error) => return later(error.to_string()),
        };
        let mut request = self
            .client
            .post(self.url.clone())
            .header(CONTENT_TYPE, "application/json");
        if let Some(key) = &self.key {
            let tag = hmac::sign(key, &body);
            request = request.header(
                SIGNATURE_HEADER,
                format!("sha256={}", HEXLOWER.encode(tag.as_ref())),
            );
        }
        if let Some(token) = &self.token {
            request = request.bearer_auth(token.reveal());
        }
        http::send(request.body(body)).await.0
    }
}

/// An address that is called at regular intervals.
#[derive(Debug)]
pub(super) struct Ping {
    client: Client,
    url: Url,
}

impl Ping {
    pub(super) fn open(url: PushUrl, tls: &Arc<rustls::ClientConfig>) -> Result<Self, String> {
        Ok(Self {
            client: http::client(tls)?,
            url: url.0,
        })
    }

    pub(super) async fn carry(&self, parcel: &Parcel) -> Verdict {
        match parcel {
            Parcel::Probe => http::send(self.client.get(self.url.clone())).await.0,
            Parcel::Show(_) | Parcel::Clear(_) | Parcel::Renew { .. } | Parcel::Withdraw(_) => {
                Verdict::Sent
            }
        }
    }
}

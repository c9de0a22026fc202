//! What all channels over HTTP share: the client, and the meaning of an answer.

use std::sync::Arc;
use std::time::Duration;

use reqwest::header::{DATE, HeaderMap, LOCATION, RETRY_AFTER};
use reqwest::redirect::Policy;
use reqwest::{Client, RequestBuilder, StatusCode, Url};

use super::later;
use crate::outbox::words::Verdict;

/// A client that follows no redirect: a redirected POST loses its message or delivers it to another host.
pub(super) fn client(tls: &Arc<rustls::ClientConfig>) -> Result<Client, String> {
    builder(tls)
        .timeout(LIMIT)
        .build()
        .map_err(|error| error.to_string())
}

/// The same for an endless stream, on which the server sends at least something now and then.
pub(super) fn stream_client(tls: &Arc<rustls::ClientConfig>) -> Result<Client, String> {
    builder(tls)
        .read_timeout(SILENCE)
        .build()
        .map_err(|error| error.to_string())
}

fn builder(tls: &Arc<rustls::ClientConfig>) -> reqwest::ClientBuilder {
    Client::builder()
        .tls_backend_preconfigured(rustls::ClientConfig::clone(tls))
        .redirect(Policy::none())
        .connect_timeout(CONNECT)
        .user_agent(concat!("windrode/", env!("CARGO_PKG_VERSION")))
}

/// Sends, and classifies the answer by its status, which is also returned if there is one.
pub(super) async fn send(request: RequestBuilder) -> (Verdict, Option<StatusCode>) {
    match request.send().await {
        Ok(mut response) => {
            let status = response.status();
            let verdict = judge(status, response.headers(), response.url());
            // A little of the body is read, so that the connection can be used again.
            let _ = response.chunk().await;
            (verdict, Some(status))
        }
        Err(error) => (later(plain(&error)), None),
    }
}

/// Meaning of an answer.
pub(super) fn judge(status: StatusCode, headers: &HeaderMap, asked: &Url) -> Verdict {
    let why = match status.canonical_reason() {
        Some(reason) => format!("status {}: {}", status.as_u16(), reason.to_lowercase()),
        None => format!("status {}", status.as_u16()),
    };
    if status.is_success() {
        Verdict::Sent
    } else if status.is_redirection() {
        let location = headers.get(LOCATION).and_then(|v| v.to_str().ok());
        let host = location
            .and_then(|to| asked.join(to).ok())
            .and_then(|url| url.host_str().map(str::to_owned));
        let host = host.unwrap_or_else(|| "nowhere".to_owned());
        later(format!(
            "{why}, redirected to `{host}`, which is not followed; a harbour's log-in page, or another `url` is to be written"
        ))
    } else if status.is_server_error()
        || matches!(
            status,
            StatusCode::TOO_MANY_REQUESTS | StatusCode::REQUEST_TIMEOUT | StatusCode::TOO_EARLY
        )
    {
        Verdict::Later {
            after: retry_after(headers),
            why,
        }
    } else {
        Verdict::Refused(why)
    }
}

/// RFC 9110 section 10.2.3: seconds, or a date, which is relative to the server's own date.
fn retry_after(headers: &HeaderMap) -> Option<Duration> {
    let text = |name| headers.get(name)?.to_str().ok().map(str::trim);
    let asked = text(RETRY_AFTER)?;
    if let Ok(seconds) = asked.parse() {
        return Some(Duration::from_secs(seconds));
    }
    let date = |text: &str| jiff::fmt::rfc2822::parse(text).ok();
    let (until, from) = (date(asked)?, date(text(DATE)?)?);
    let millis = until.timestamp().as_millisecond() - from.timestamp().as_millisecond();
    u64::try_from(millis).ok().map(Duration::from_millis)
}

/// The reason in words, without the address, which may be a secret.
pub(super) fn plain(error: &reqwest::Error) -> String {
    if error.is_timeout() {
        return "no answer in time".to_owned();
    }
    let mut reason: &dyn std::error::Error = error;
    let mut tls = false;
    while let Some(source) = reason.source() {
        reason = source;
        tls |= reason.is::<rustls::Error>();
    }
    let text = reason.to_string();
    if tls || text.contains("certificate") {
        return format!("its certificate is not trusted, nothing was sent: {text}");
    }
    text
}

const CONNECT: Duration = Duration::from_secs(10);
const LIMIT: Duration = Duration::from_secs(20);
/// Push servers send a sign of life every three quarters of a minute.
const SILENCE: Duration = Duration::from_secs(120);

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(status: u16, headers: &[(&'static str, &str)]) -> Verdict {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.insert(*name, value.parse().unwrap());
        }
        let asked = Url::parse("https://push.example/tern").unwrap();
        judge(StatusCode::from_u16(status).unwrap(), &map, &asked)
    }

    #[test]
    fn only_the_server_s_own_no_is_a_refusal() {
        for status in [200, 201, 204] {
            assert_eq!(judged(status, &[]), Verdict::Sent);
        }
        for status in [400, 401, 403, 404, 405, 410, 413, 422] {
            assert!(
                matches!(judged(status, &[]), Verdict::Refused(_)),
                "{status}"
            );
        }
        for status in [
            408, 425, 429, 500, 502, 503, 504, 507, 301, 302, 303, 307, 308,
        ] {
            assert!(
                matches!(judged(status, &[]), Verdict::Later { .. }),
                "{status}"
            );
        }
        assert_eq!(
            judged(403, &[]),
            Verdict::Refused("status 403: forbidden".to_owned())
        );
    }

    #[test]
    fn the_pause_is_read_as_seconds_and_as_a_date() {
        let after = |headers: &[(&'static str, &str)]| match judged(429, headers) {
            Verdict::Later { after, .. } => after.map(|after| after.as_secs()),
            other => panic!("{other:?}"),
        };
        assert_eq!(after(&[]), None);
        assert_eq!(after(&[("retry-after", "30")]), Some(30));
        assert_eq!(after(&[("retry-after", "-1")]), None);
        assert_eq!(after(&[("retry-after", "soon")]), None);
        // The example of RFC 9110.
        let date = ("retry-after", "Fri, 31 Dec 1999 23:59:59 GMT");
        assert_eq!(after(&[date]), None);
        let now = ("date", "Fri, 31 Dec 1999 23:58:59 GMT");
        assert_eq!(after(&[date, now]), Some(60));
    }

    #[test]
    fn a_redirect_names_the_host_and_nothing_else() {
        let Verdict::Later { why, .. } =
            judged(302, &[("location", "http://login.example/?for=secret")])
        else {
            panic!("a redirect is tried again");
        };
        assert!(why.contains("`login.example`"), "{why}");
        assert!(!why.contains("secret"), "{why}");
    }
}

//! HTTP requests that the loop does not wait for: each runs by itself and returns its answer later.

use std::sync::Arc;

use serde_json::Value;
use tokio::sync::{Mutex, OwnedSemaphorePermit, Semaphore, mpsc};

use crate::alert::hazard::Hazard;
use crate::chart::sketch::Sketch;
use crate::io::http::Http;
use crate::io::secrets::Secret;
use crate::signalk::access::{Rights, rights_from_login_status};
use crate::signalk::paths::NOTIFICATIONS;
use crate::signalk::resources::ResourceWrite;
use crate::watch::charted::{About, ChartNews};

/// The result of an errand.
#[derive(Debug)]
pub(super) enum Errand {
    /// What the server permits us.
    Rights(Rights),
    /// The notification of an alert in the server's tree.
    Notice(Hazard, String),
    /// The server did not accept a drawing.
    ResourceFailed(String),
    /// The answer from the charts on disk.
    Chart(ChartNews),
    /// What a picture shows of the charts around a circle.
    Sketch(About, Vec<Sketch>),
    /// Status and body of an access request or poll, or the reason why there is none.
    Access(Result<(u16, String), String>),
}

/// Sends errands and collects their results.
pub(super) struct Errands {
    http: Http,
    out: mpsc::UnboundedSender<Errand>,
    back: mpsc::UnboundedReceiver<Errand>,
    /// Requests that may be open at once, and how many of them for drawings: a server that answers none of
    /// them must not use up our file descriptors.
    asking: Arc<Semaphore>,
    drawing: Arc<Semaphore>,
    /// Drawings are sent one after another, in their order: the server writes each to a file. Two requests at once for
    /// the same drawing left an unreadable file in 115 of 200 tries, and the older drawing in 36 (server 2.32.0).
    pen: Arc<Mutex<()>>,
}

impl Errands {
    pub(super) fn new(
        base: &str,
        token: Option<Secret>,
        tls: &Arc<rustls::ClientConfig>,
    ) -> Result<Self, String> {
        let (out, back) = mpsc::unbounded_channel();
        let http = Http::new(base, token, tls)?;
        Ok(Self {
            http,
            out,
            back,
            asking: Arc::new(Semaphore::new(MOST_ASKING)),
            drawing: Arc::new(Semaphore::new(MOST_DRAWING)),
            pen: Arc::default(),
        })
    }

    /// For results that do not come from a server.
    pub(super) fn back_door(&self) -> mpsc::UnboundedSender<Errand> {
        self.out.clone()
    }

    pub(super) async fn next(&mut self) -> Option<Errand> {
        self.back.recv().await
    }

    /// From now on errands go to another server.
    pub(super) fn use_server(
        &mut self,
        base: &str,
        token: Option<Secret>,
        tls: &Arc<rustls::ClientConfig>,
    ) -> Result<(), String> {
        self.http = Http::new(base, token, tls)?;
        Ok(())
    }

    pub(super) fn use_token(&mut self, token: Option<Secret>) {
        self.http = self.http.with_token(token);
    }

    pub(super) fn probe_rights(&self) {
        self.send(|http| async move {
            Some(Errand::Rights(
                match http.get("/skServer/loginStatus").await {
                    Ok(answer) => rights_from_login_status(answer.status, &answer.body),
                    Err(why) => Rights::Unknown(why),
                },
            ))
        });
    }

    pub(super) fn look_for(&self, hazard: Hazard) {
        self.send(move |http| async move {
            let path = format!("{NOTIFICATIONS}{hazard}").replace('.', "/");
            let path = format!("/signalk/v1/api/vessels/self/{path}");
            // No answer counts as no notification: the session waits for it no longer than before.
            let answer = http.get(&path).await.ok()?;
            answer
                .is_success()
                .then_some(Errand::Notice(hazard, answer.body))
        });
    }

    pub(super) fn put_resource(&self, write: ResourceWrite) {
        let Ok(seat) = Arc::clone(&self.drawing).try_acquire_owned() else {
            let why = format!("{MOST_DRAWING} requests before it are not answered yet");
            let _ = self.out.send(Errand::ResourceFailed(why));
            return;
        };
        let pen = Arc::clone(&self.pen);
        self.spawn(seat, |http| async move {
            let _turn = pen.lock().await;
            let path = format!(
                "/signalk/v2/api/resources/{}/{}",
                write.kind.name(),
                write.id
            );
            let deleting = write.body.is_none();
            let answer = match &write.body {
                Some(body) => http.put(&path, body).await,
                None => http.delete(&path).await,
            };
            match answer {
                Ok(answer) if answer.is_success() || (deleting && answer.status == 404) => None,
                Ok(answer) => Some(Errand::ResourceFailed(format!(
                    "`{path}` answered with status `{}`",
                    answer.status
                ))),
                Err(why) => Some(Errand::ResourceFailed(why)),
            }
        });
    }

    pub(super) fn ask_access(&self, body: &Value) {
        let body = body.clone();
        self.send(|http| async move {
            // The server answers no question that comes with a token it refuses.
            let http = http.with_token(None);
            let answer = http.post("/signalk/v1/access/requests", &body).await;
            Some(Errand::Access(answer.map(|a| (a.status, a.body))))
        });
    }

    pub(super) fn poll_access(&self, href: String) {
        self.send(|http| async move {
            let answer = http.with_token(None).get(&href).await;
            Some(Errand::Access(answer.map(|a| (a.status, a.body))))
        });
    }

    fn send<F>(&self, errand: impl FnOnce(Http) -> F)
    where
        F: Future<Output = Option<Errand>> + Send + 'static,
    {
        // The caller asks again by itself.
        if let Ok(seat) = Arc::clone(&self.asking).try_acquire_owned() {
            self.spawn(seat, errand);
        }
    }

    fn spawn<F>(&self, seat: OwnedSemaphorePermit, errand: impl FnOnce(Http) -> F)
    where
        F: Future<Output = Option<Errand>> + Send + 'static,
    {
        let errand = errand(self.http.clone());
        let out = self.out.clone();
        tokio::spawn(async move {
            let back = errand.await;
            drop(seat);
            if let Some(back) = back {
                // The daemon may have ended by now.
                let _ = out.send(back);
            }
        });
    }
}

/// One for each hazard that may be looked up, and a few more.
const MOST_ASKING: usize = 16;
/// Circle, anchor and berth, and one more each.
const MOST_DRAWING: usize = 6;

#[cfg(test)]
mod tests {
    use futures_util::FutureExt as _;
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
    use tokio::net::TcpListener;

    use super::*;
    use crate::signalk::resources::ResourceKind;

    fn drawing(number: usize) -> ResourceWrite {
        ResourceWrite {
            kind: ResourceKind::Regions,
            id: format!("region-{number}"),
            body: Some(Value::Null),
        }
    }

    /// Two at once for the same drawing, and the server's file would have either, or a mixture.
    #[tokio::test]
    async fn a_drawing_waits_for_the_answer_to_the_one_before() {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        let errands = Errands::new(&base, None, &crate::io::tls::client_config()).unwrap();
        for number in 0..2 {
            errands.put_resource(drawing(number));
        }
        for number in 0..2 {
            let (mut socket, _) = listener.accept().await.unwrap();
            let mut request = [0; 1024];
            let length = socket.read(&mut request).await.unwrap();
            let request = String::from_utf8_lossy(&request[..length]).into_owned();
            assert!(request.contains(&format!("/region-{number} ")), "{request}");
            for _ in 0..1000 {
                tokio::task::yield_now().await;
            }
            assert!(listener.accept().now_or_never().is_none(), "{number}");
            let answer = b"HTTP/1.1 200 OK\r\ncontent-length: 0\r\nconnection: close\r\n\r\n";
            socket.write_all(answer).await.unwrap();
        }
    }

    #[tokio::test]
    async fn a_server_that_never_answers_costs_few_connections() {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        let tls = crate::io::tls::client_config();
        let mut errands = Errands::new(&base, None, &tls).unwrap();
        for number in 0..500 {
            errands.put_resource(drawing(number));
            errands.probe_rights();
            errands.look_for(Hazard::ALL[number % Hazard::ALL.len()]);
            errands.poll_access("/signalk/v1/requests/1".to_owned());
        }
        // Every slot is taken; each question has a connection of its own, and the drawings have one.
        assert_eq!(errands.asking.available_permits(), 0);
        assert_eq!(errands.drawing.available_permits(), 0);
        let mut open = Vec::new();
        while open.len() < MOST_ASKING + 1 {
            open.push(listener.accept().await.unwrap());
        }
        let refused = std::iter::from_fn(|| errands.back.try_recv().ok()).collect::<Vec<_>>();
        assert_eq!(refused.len(), 500 - MOST_DRAWING);
        for errand in refused {
            let told = "6 requests before it are not answered yet";
            let is_told = matches!(&errand, Errand::ResourceFailed(why) if why == told);
            assert!(is_told, "{errand:?}");
        }
        // They end, and there is room again.
        drop(open);
        for left in (0..MOST_DRAWING).rev() {
            while !matches!(errands.next().await, Some(Errand::ResourceFailed(_))) {}
            if left > 0 {
                drop(listener.accept().await.unwrap());
            }
        }
        assert_eq!(errands.drawing.available_permits(), MOST_DRAWING);
        errands.put_resource(drawing(501));
        listener.accept().await.unwrap();
    }
}

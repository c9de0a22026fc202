//! One client's WebSocket, from the upgrade to the end.

use std::collections::BTreeMap;
use std::sync::Arc;

use futures_util::stream::{SplitSink, SplitStream};
use futures_util::{SinkExt as _, StreamExt as _};
use hyper::upgrade::Upgraded;
use hyper_util::rt::TokioIo;
use tokio::sync::{mpsc, oneshot};
use tokio_tungstenite::WebSocketStream;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::protocol::{Role, WebSocketConfig};

use super::{Frame, LARGEST_MESSAGE, Link, Shared};
use crate::signalk::hub::ClientId;

/// Serves a client that connected since the start with this number.
pub(super) async fn session(upgraded: Upgraded, shared: Arc<Shared>, start: u64) {
    let config = WebSocketConfig::default()
        .max_message_size(Some(LARGEST_MESSAGE))
        .max_frame_size(Some(LARGEST_MESSAGE));
    let stream = TokioIo::new(upgraded);
    let socket = WebSocketStream::from_raw_socket(stream, Role::Server, Some(config)).await;
    let (sink, stream) = socket.split();
    let (frames, queue) = mpsc::channel(LONGEST_QUEUE);
    let (alive, ended) = oneshot::channel();
    let client = shared.with(|state, now| {
        if state.start != start {
            return None;
        }
        let client = state.hub.handle_connect(now);
        let link = Link {
            frames,
            pings: BTreeMap::new(),
            _alive: alive,
        };
        state.links.insert(client, link);
        Some(client)
    });
    let Some(client) = client else { return };
    tokio::select! {
        () = write(sink, queue) => {}
        () = read(stream, &shared, client) => {}
        _ = ended => {}
    }
    shared.with(|state, _| {
        if state.links.remove(&client).is_some() {
            state.hub.handle_disconnect(client);
        }
    });
}

type Socket = WebSocketStream<TokioIo<Upgraded>>;

async fn write(mut sink: SplitSink<Socket, Message>, mut queue: mpsc::Receiver<Frame>) {
    while let Some(frame) = queue.recv().await {
        let message = match frame {
            Frame::Text(text) => Message::text(text),
            Frame::Ping(number) => Message::Ping(number.to_be_bytes().to_vec().into()),
        };
        if sink.feed(message).await.is_err() {
            return;
        }
        if queue.is_empty() && sink.flush().await.is_err() {
            return;
        }
    }
}

async fn read(mut stream: SplitStream<Socket>, shared: &Shared, client: ClientId) {
    while let Some(Ok(message)) = stream.next().await {
        match message {
            Message::Text(text) => shared.with(|state, now| {
                state.traffic += 1;
                state.hub.handle_text(now, client, text.as_str());
            }),
            Message::Pong(payload) => {
                let Ok(number) = <[u8; 8]>::try_from(&payload[..]) else {
                    continue;
                };
                let mut state = shared.lock();
                let link = state.links.get_mut(&client);
                if let Some(pong) =
                    link.and_then(|link| link.pings.remove(&u64::from_be_bytes(number)))
                {
                    // The waiting task may have given up.
                    _ = pong.send(());
                }
            }
            Message::Close(_) => return,
            Message::Binary(_) | Message::Ping(_) | Message::Frame(_) => {}
        }
    }
}

/// Most frames that may wait for a client; one that reads more slowly is cut off.
const LONGEST_QUEUE: usize = 16_384;

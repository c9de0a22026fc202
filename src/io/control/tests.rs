#![allow(clippy::unwrap_used)]
use super::*;
use serde_json::json;

fn status() -> Request {
    Request {
        command: "status".to_owned(),
        value: serde_json::Value::Null,
    }
}

/// A daemon that answers every request with the request itself.
async fn echoing_daemon(socket: &Path) -> tokio::task::JoinHandle<()> {
    let server = Server::bind(socket).await.unwrap();
    let (sender, mut requests) = mpsc::channel::<Asked>(4);
    tokio::spawn(server.serve(sender));
    tokio::spawn(async move {
        while let Some(asked) = requests.recv().await {
            let data = json!({"command": asked.request.command, "value": asked.request.value});
            asked.answer(Response::data(data));
        }
    })
}

#[tokio::test]
async fn a_command_goes_through_and_its_answer_comes_back() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    let _daemon = echoing_daemon(&socket).await;
    let mode = std::fs::metadata(&socket).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o660);
    let request = Request {
        command: "letGo".to_owned(),
        value: json!({"rode": 40.0}),
    };
    let response = ask(&socket, &request).await.unwrap();
    assert_eq!(response.status_code, 200);
    assert_eq!(
        response.data.unwrap(),
        json!({"command": "letGo", "value": {"rode": 40.0}})
    );
}

#[tokio::test]
async fn the_lines_are_as_documented_and_nonsense_is_answered() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    let _daemon = echoing_daemon(&socket).await;
    let mut lines = BufReader::new(UnixStream::connect(&socket).await.unwrap()).lines();
    let mut say = async |text: &str| {
        lines
            .get_mut()
            .get_mut()
            .write_all(text.as_bytes())
            .await
            .unwrap();
        lines.next_line().await.unwrap()
    };
    assert_eq!(
        say("{\"command\":\"status\"}\n").await.unwrap(),
        "{\"statusCode\":200,\"data\":{\"command\":\"status\",\"value\":null}}"
    );
    for nonsense in [
        "\n",
        "hoist\n",
        "{\"comand\":\"weigh\"}\n",
        "\u{0}\n",
        "[]\n",
    ] {
        let answer = say(nonsense).await.unwrap();
        assert!(answer.starts_with("{\"statusCode\":400,\"message\":\"this is no request"));
    }
    let long = format!("{{\"command\":\"{}\"}}\n", "a".repeat(70_000));
    assert_eq!(
        say(&long).await.unwrap(),
        "{\"statusCode\":413,\"message\":\"a request has at most 64 KiB\"}"
    );
}

#[tokio::test]
async fn without_a_daemon_the_error_says_what_to_do() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    let text = ask(&socket, &status()).await.unwrap_err().to_string();
    assert_eq!(
        text,
        format!(
            "no daemon listens at `{}`; is `windrode run` running?",
            socket.display()
        )
    );
}

#[tokio::test]
async fn a_dead_daemon_s_socket_is_replaced_and_a_live_one_s_is_not() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    // The standard library leaves the file behind, as a killed daemon would.
    drop(std::os::unix::net::UnixListener::bind(&socket).unwrap());
    assert!(matches!(
        ask(&socket, &status()).await,
        Err(ControlError::NoDaemon { .. })
    ));
    let _daemon = echoing_daemon(&socket).await;
    assert_eq!(ask(&socket, &status()).await.unwrap().status_code, 200);
    assert!(matches!(
        Server::bind(&socket).await,
        Err(ControlError::InUse { .. })
    ));
    assert_eq!(ask(&socket, &status()).await.unwrap().status_code, 200);

    let file = dir.path().join("notes.txt");
    std::fs::write(&file, "keep").unwrap();
    assert!(matches!(
        Server::bind(&file).await,
        Err(ControlError::NotASocket { .. })
    ));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "keep");
    assert!(matches!(
        Server::bind(&dir.path().join("no/where.sock")).await,
        Err(ControlError::System { .. })
    ));
}

#[tokio::test]
async fn the_ninth_client_is_told_to_wait_and_gets_in_when_a_seat_is_free() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    let _daemon = echoing_daemon(&socket).await;
    let mut seated = Vec::new();
    for _ in 0..CONNECTIONS {
        let mut client = BufReader::new(UnixStream::connect(&socket).await.unwrap());
        client
            .get_mut()
            .write_all(b"{\"command\":\"status\"}\n")
            .await
            .unwrap();
        let mut answer = String::new();
        client.read_line(&mut answer).await.unwrap();
        assert!(answer.contains("200"));
        seated.push(client);
    }
    let response = ask(&socket, &status()).await.unwrap();
    assert_eq!(response.status_code, 503);
    assert!(response.message.unwrap().contains("too many"));
    seated.clear();
    // The server notices in its own time; each refusal gives it time to run.
    loop {
        if ask(&socket, &status()).await.unwrap().status_code == 200 {
            break;
        }
        tokio::task::yield_now().await;
    }
}

#[tokio::test(start_paused = true)]
#[allow(clippy::disallowed_methods, reason = "the runtime's paused clock")]
async fn a_client_that_says_nothing_loses_its_seat() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    let _daemon = echoing_daemon(&socket).await;
    let mut idle = UnixStream::connect(&socket).await.unwrap();
    idle.write_all(b"{\"comm").await.unwrap();
    let begun = tokio::time::Instant::now();
    assert_eq!(idle.read(&mut [0; 8]).await.unwrap(), 0);
    assert!(begun.elapsed() >= PATIENCE);
}

#[tokio::test]
async fn a_daemon_that_goes_down_says_so_and_takes_its_socket_along() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    let server = Server::bind(&socket).await.unwrap();
    let (sender, mut requests) = mpsc::channel::<Asked>(4);
    let serving = tokio::spawn(server.serve(sender));
    let (answer, ()) = tokio::join!(async { ask(&socket, &status()).await.unwrap() }, async {
        drop(requests.recv().await);
    });
    assert_eq!(answer, Response::words(503, "the daemon is going down"));
    drop(requests);
    serving.await.unwrap();
    assert!(!socket.exists());
}

#[tokio::test(start_paused = true)]
async fn a_daemon_that_hangs_is_not_waited_for_for_ever() {
    let dir = tempfile::tempdir().unwrap();
    let socket = dir.path().join("w.sock");
    // It listens, but nobody accepts.
    let _listener = UnixListener::bind(&socket).unwrap();
    let text = ask(&socket, &status()).await.unwrap_err().to_string();
    assert!(text.contains("did not answer within 10 s"), "{text}");
}

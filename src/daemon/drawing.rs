//! Where pictures are drawn: in a short-lived process of the same program.
//!
//! A picture takes some 10 MB for fonts, shapes and pixels. The daemon keeps watch for months, and pages that
//! drawing has touched once stay with a process. So the daemon starts its own program again with [`WORD`],
//! writes the data on its standard input and reads the PNG from its standard output. All that memory ends
//! with the picture, and a fault in drawing cannot end the watch.
//!
//! Bounds: one picture is drawn at a time, at most [`MOST_WAITING`] are drawn or wait, and the answer is at most
//! [`LARGEST_PNG`] bytes. The process is killed [`DRAWN_WITHIN`] after its start, or as soon as nobody waits for the
//! picture any longer. Without a picture the message goes out all the same.
//!
//! Weakness: a service manager that forbids starting programs leaves the phones without pictures; the log says so.

use std::path::PathBuf;
use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::process::Command;
use tokio::sync::Semaphore;

use crate::plot::{self, LARGEST_PNG, PictureInput};

/// The argument that makes the program draw one picture and end.
pub(crate) const WORD: &str = "draw-picture";

/// Draws the pictures for the phones.
#[derive(Clone, Debug, Default)]
pub enum Drawing {
    /// On a thread of this process: for a rehearsal, which ends soon.
    #[default]
    Here,
    /// In a process of its own.
    Apart(Apart),
}

/// The program that draws.
#[derive(Clone, Debug)]
pub struct Apart {
    program: PathBuf,
    arguments: Vec<String>,
    /// Held while a process draws.
    seat: Arc<Semaphore>,
    /// Held by each picture that is drawn or waits.
    places: Arc<Semaphore>,
}

impl Drawing {
    /// By the running program itself. The kernel's name for it holds even after a new version was installed
    /// in its place.
    #[must_use]
    pub fn apart() -> Self {
        Self::by("/proc/self/exe", &[WORD])
    }

    fn by(program: &str, arguments: &[&str]) -> Self {
        Self::Apart(Apart {
            program: program.into(),
            arguments: arguments.iter().map(|&word| word.to_owned()).collect(),
            seat: Arc::new(Semaphore::new(1)),
            places: Arc::new(Semaphore::new(MOST_WAITING)),
        })
    }

    /// The picture as PNG. Dropping the future ends the drawing.
    pub(super) async fn png(self, input: PictureInput) -> Result<Vec<u8>, String> {
        match self {
            Self::Here => tokio::task::spawn_blocking(move || plot::png(&input))
                .await
                .map_err(|error| error.to_string())?
                .map_err(|error| error.to_string()),
            Self::Apart(apart) => apart.png(&input).await,
        }
    }
}

impl Apart {
    async fn png(self, input: &PictureInput) -> Result<Vec<u8>, String> {
        let Ok(_place) = self.places.try_acquire() else {
            return Err(format!("`{MOST_WAITING}` pictures are still waiting"));
        };
        let _seat = self.seat.acquire().await.map_err(|e| e.to_string())?;
        // Dropping the drawing kills its process.
        tokio::time::timeout(DRAWN_WITHIN, self.draw(input))
            .await
            .unwrap_or_else(|_| {
                Err(format!(
                    "the drawing process was ended after `{}` s",
                    DRAWN_WITHIN.as_secs()
                ))
            })
    }

    async fn draw(&self, input: &PictureInput) -> Result<Vec<u8>, String> {
        let told = |error: std::io::Error| format!("`{}`: {error}", self.program.display());
        let data = serde_json::to_vec(input).map_err(|error| error.to_string())?;
        let mut child = Command::new(&self.program)
            .args(&self.arguments)
            .env_clear()
            .current_dir("/")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .kill_on_drop(true)
            .spawn()
            .map_err(told)?;
        let (Some(mut stdin), Some(stdout)) = (child.stdin.take(), child.stdout.take()) else {
            return Err("the pipes to the drawing process are missing".to_owned());
        };
        // A process that ends early says why by its status.
        let _ = stdin.write_all(&data).await;
        drop((stdin, data));
        let mut png = Vec::new();
        let bound = LARGEST_PNG as u64 + 1;
        stdout
            .take(bound)
            .read_to_end(&mut png)
            .await
            .map_err(told)?;
        if png.len() > LARGEST_PNG {
            return Err(format!("the picture has more than `{LARGEST_PNG}` bytes"));
        }
        let status = child.wait().await.map_err(told)?;
        if !status.success() {
            return Err(format!("the drawing process ended with {status}"));
        }
        if !png.starts_with(SIGNATURE) {
            return Err("the drawing process answered with something that is no PNG".to_owned());
        }
        Ok(png)
    }
}

/// The first bytes of every PNG (ISO/IEC 15948, 5.2).
const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";
/// A small computer draws for a second or two; one that swaps may need several times that.
const DRAWN_WITHIN: Duration = Duration::from_secs(20);
/// A picture's data may take a few megabytes.
const MOST_WAITING: usize = 4;

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::time::{ShipClock, Timestamp};
    use crate::watch::state::WatchState;
    use crate::watch::track::Sight;

    pub(in crate::daemon) fn input() -> PictureInput {
        PictureInput {
            time: Timestamp::EPOCH,
            alerts: Vec::new(),
            picture: WatchState::default(),
            sight: Sight::default(),
            clock: ShipClock::default(),
            lengths: crate::units::LengthUnit::default(),
            language: crate::speech::Language::default(),
            charts: Vec::new(),
        }
    }

    fn by_shell(line: &str) -> Drawing {
        Drawing::by("/bin/sh", &["-c", line])
    }

    #[tokio::test]
    async fn the_process_gets_the_data_and_its_answer_is_the_picture() {
        let echoes = "printf '\\211PNG\\r\\n\\032\\n'; cat";
        let png = by_shell(echoes).png(input()).await.unwrap();
        let data = png.strip_prefix(SIGNATURE).unwrap();
        assert_eq!(
            serde_json::from_slice::<PictureInput>(data).unwrap(),
            input()
        );
    }

    #[tokio::test]
    async fn whatever_the_process_does_wrong_there_is_a_reason_and_no_picture() {
        let much = format!("exec head -c {} /dev/zero", 10 * LARGEST_PNG);
        for (line, why) in [
            ("exit 3", "exit status: 3"),
            ("kill -ABRT $$", "signal: 6"),
            ("cat", "no PNG"),
            (much.as_str(), "more than `60000` bytes"),
        ] {
            let said = by_shell(line).png(input()).await.unwrap_err();
            assert!(said.contains(why), "{line}: {said}");
        }
        let said = Drawing::by("/nowhere/windrode", &[]).png(input()).await;
        assert!(said.unwrap_err().starts_with("`/nowhere/windrode`: "));
    }

    /// The pipe closes when the last process that holds it has ended.
    #[tokio::test]
    async fn a_drawing_that_nobody_waits_for_is_killed_and_the_next_one_begins() {
        let folder = tempfile::tempdir().unwrap();
        let fifo = folder.path().join("alive");
        let made = std::process::Command::new("mkfifo").arg(&fifo).status();
        assert!(made.unwrap().success());
        let hangs = by_shell(&format!("exec 3>{}; exec sleep 1000", fifo.display()));
        let drawing = tokio::spawn(hangs.clone().png(input()));
        let mut alive = tokio::fs::File::open(&fifo).await.unwrap();
        drawing.abort();
        let mut byte = [0];
        let ended = tokio::time::timeout(Duration::from_mins(1), alive.read(&mut byte)).await;
        assert_eq!(ended.expect("it is killed").unwrap(), 0);
        let Drawing::Apart(apart) = hangs else {
            unreachable!()
        };
        assert_eq!(apart.seat.available_permits(), 1);
    }

    /// The clock moves on by itself while the process hangs.
    #[tokio::test(start_paused = true)]
    async fn a_process_that_hangs_is_ended_though_somebody_waits() {
        let hangs = by_shell("exec sleep 1000");
        let drawing = hangs.clone().png(input());
        let png = tokio::time::timeout(Duration::from_secs(21), drawing).await;
        let said = png.expect("it ends in time").unwrap_err();
        assert!(said.contains("ended after `20` s"), "{said}");
        let Drawing::Apart(apart) = hangs else {
            unreachable!()
        };
        assert_eq!(apart.seat.available_permits(), 1);
        assert_eq!(apart.places.available_permits(), MOST_WAITING);
    }

    #[tokio::test(start_paused = true)]
    async fn only_a_few_pictures_wait_and_the_others_are_given_up_at_once() {
        let hangs = by_shell("exec sleep 1000");
        let all = (0..10).map(|_| hangs.clone().png(input()));
        let said = futures_util::future::join_all(all).await;
        let refused = said
            .iter()
            .filter(|png| matches!(png, Err(why) if why.contains("still waiting")));
        assert_eq!(refused.count(), 10 - MOST_WAITING, "{said:?}");
    }
}

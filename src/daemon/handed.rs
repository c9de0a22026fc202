//! What the command line asks and what errands bring back: answered here, or passed to the engine that it
//! belongs to.

use serde_json::json;
use tracing::warn;

use super::errands::Errand;
use super::{Asker, Daemon};
use crate::io::control::{Asked, Response};
use crate::io::secrets;
use crate::signalk::access::Rights;
use crate::signalk::put::parse_command;
use crate::time::Now;
use crate::watch::messages::{By, Command, Input};

impl Daemon {
    pub(super) fn handle_asked(&mut self, asked: Asked) {
        let now = self.clock.now();
        let told = match asked.request.command.as_str() {
            "status" => Some(json!(self.status(now))),
            "picture" => Some(json!(self.picture_input(now))),
            "figures" => Some(json!(self.figures(now))),
            _ => None,
        };
        if let Some(told) = told {
            asked.answer(Response::data(told));
            return;
        }
        match parse_command(&asked.request.command, &asked.request.value) {
            Ok(command) => self.order(now, command, Asker::Local(asked)),
            Err(refusal) => {
                let response =
                    Response::words(refusal.status(), refusal.words(&self.config.wording()));
                asked.answer(response);
            }
        }
    }

    pub(super) fn handle_errand(&mut self, errand: Errand) {
        let now = self.clock.now();
        match errand {
            Errand::Rights(rights) => {
                if rights.writing() == Some(false) && !matches!(rights, Rights::ReadOnly) {
                    self.want_access(now);
                }
                self.session.handle_rights(now, rights);
            }
            Errand::Notice(hazard, node) => self.session.handle_notice_seen(now, hazard, &node),
            Errand::Chart(news) => {
                self.sketches.hear(&news);
                self.feed(now, Input::Chart(news));
            }
            Errand::Sketch(about, charts) => self.sketches.take(about, charts),
            Errand::ResourceFailed(why) => self.session.handle_resource_failed(now, &why),
            Errand::Access(Ok((status, body))) => {
                let before = self.access.pending().map(str::to_owned);
                self.access.handle_response(now, status, &body);
                let after = self.access.pending();
                if before.as_deref() != after
                    && let Err(error) =
                        secrets::remember_request(&self.config.journal.directory, after)
                {
                    warn!("the access request cannot be remembered: {error}");
                }
            }
            Errand::Access(Err(why)) => self.access.handle_failed(now, &why),
        }
    }

    pub(super) fn order(&mut self, now: Now, command: Command, asker: Asker) {
        self.orders += 1;
        let id = self.orders;
        let by = match &asker {
            Asker::Local(_) => By::Terminal,
            Asker::Server(_) => By::Server,
            Asker::Phone(_) => By::Phone,
            Asker::Display(_) => By::Display,
        };
        self.waiting.insert(id, asker);
        self.feed(now, Input::Command { id, command, by });
    }
}

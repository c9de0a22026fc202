//! What holds after every step of a story.

use super::*;

impl Story {
    pub(super) fn check(
        &self,
        step: u32,
        fate: Fate,
        before: &[windrode::alert::hazard::AlertView],
    ) {
        let saved = self.keeper.saved();
        let anchored = saved.phase.is_anchored();
        self.rule(
            step,
            saved.mark.is_some() == anchored,
            "a mark without a phase",
        );
        self.rule(
            step,
            anchored || saved.manner == windrode::watch::saved::SavedMooring::default(),
            "a mooring without an anchor",
        );
        let after = self.keeper.alerts();
        for view in &after {
            let of_anchor = !matches!(
                view.hazard,
                Hazard::Position | Hazard::DataLink | Hazard::Watch | Hazard::Instrument
            );
            self.rule(step, anchored || !of_anchor, "an alert about no anchor");
            self.rule(
                step,
                view.state != AlertState::Normal,
                "a normal alert that stands",
            );
        }
        if saved.phase == AnchorPhase::Aweigh {
            let loud = after.iter().find(|view| {
                // A watch ended over the server is reported even when aweigh.
                let ended = view.hazard == Hazard::Watch && view.message.contains("was changed: ");
                view.state == AlertState::ActiveUnacknowledged
                    && view.priority > Priority::Caution
                    && !ended
            });
            self.rule(step, loud.is_none(), "an alarm aweigh");
        }
        let due = self.keeper.poll_timeout();
        self.rule(step, due.is_some(), "no timeout");
        if fate == Fate::Acknowledges || fate == Fate::Weighs {
            return;
        }
        for unseen in before.iter().filter(|view| {
            matches!(
                view.state,
                AlertState::ActiveUnacknowledged
                    | AlertState::ActiveSilenced
                    | AlertState::RectifiedUnacknowledged
            )
        }) {
            if fate == Fate::Restarts && unseen.hazard == Hazard::Watch {
                continue;
            }
            let now = after.iter().find(|view| view.hazard == unseen.hazard);
            let kept = now.is_some_and(|view| {
                view.state != AlertState::ActiveAcknowledged || view.priority == Priority::Caution
            });
            // A drag alarm covers the calculated circle; a lost server covers everything unknown.
            let by = match unseen.hazard {
                Hazard::SwingExceeded => Some(Hazard::Dragging),
                Hazard::Position | Hazard::Instrument => Some(Hazard::DataLink),
                _ => None,
            };
            let covered = after
                .iter()
                .any(|view| Some(view.hazard) == by && view.state.is_active());
            // A condition that dropped to a caution and ended leaves nothing to acknowledge.
            let a_caution = unseen.priority == Priority::Caution;
            self.rule(
                step,
                kept || a_caution || covered,
                &format!("`{}` was lost: {unseen:?}, now {now:?}", unseen.hazard),
            );
        }
    }

    pub(super) fn rule(&self, step: u32, kept: bool, broken: &str) {
        assert!(kept, "story {} breaks at step {step}: {broken}", self.seed);
    }
}

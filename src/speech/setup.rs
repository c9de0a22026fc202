//! The questions of `windrode setup` and what becomes of the answers.

use super::Sentence;
use super::sentence::sentences;

sentences! {
    /// A question about one key of the configuration.
    #[derive(Copy)]
    pub enum Ask {
        Language,
        Server,
        Name,
        Length,
        Draught,
        Roller,
        Antenna,
        Rode,
        Chain,
        Topic,
    }

    /// What else is said.
    pub enum Setup {
        Enter,
        AnswersGo { file: String },
        // The question with the value that Enter keeps; the answer is typed behind it.
        Question { ask: Ask, now: Sentence },
        FromServer { value: String },
        NoneYet { example: String },
        Unchanged { file: String },
        Written { file: String },
        Sending,
        AtNextStart,
        Restarted,
        NotRestarted,
    }
}

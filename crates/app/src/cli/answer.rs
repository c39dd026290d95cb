//! What a call gives back.

use serde::Serialize;

/// The exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Code {
    /// Done.
    Done = 0,
    /// What was given is wrong: a song with mistakes, a file that is not there.
    WrongInput = 1,
    /// The call is wrong.
    WrongCall = 2,
}

/// The answer to a call.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// For standard output.
    pub result: String,
    /// For standard error, a line each.
    pub messages: Vec<String>,
    /// The exit code.
    pub code: Code,
}

impl Answer {
    /// A result.
    pub fn done(result: String) -> Answer {
        Answer { result, messages: Vec::new(), code: Code::Done }
    }

    /// A result as a JSON document.
    pub fn json(document: &impl Serialize) -> Answer {
        let text =
            serde_json::to_string_pretty(document).expect("mirror types hold nothing that JSON cannot");
        Answer::done(text + "\n")
    }

    /// The input cannot be used.
    pub fn wrong_input(messages: Vec<String>) -> Answer {
        Answer { result: String::new(), messages, code: Code::WrongInput }
    }

    /// The call cannot be understood.
    pub fn wrong_call(message: String) -> Answer {
        Answer { result: String::new(), messages: vec![message], code: Code::WrongCall }
    }

    /// The same with messages before its own.
    pub fn telling(mut self, mut messages: Vec<String>) -> Answer {
        messages.append(&mut self.messages);
        self.messages = messages;
        self
    }
}

//! One key and the field it fills; a walk visits the keys one after the other.

use super::sort::{Misfit, Shape, Sort};

/// One key and the field it fills.
pub(super) struct Key<'a> {
    pub(super) section: &'a str,
    /// What the section is about.
    pub(super) section_about: &'static str,
    pub(super) name: &'static str,
    /// What it means, in one sentence.
    pub(super) about: &'static str,
    /// The effect of raising it, lowering it or leaving it out.
    pub(super) effect: &'static str,
    pub(super) slot: Box<dyn Slot + 'a>,
}

/// A field, with how it is read and shown.
pub(super) trait Slot {
    /// Parses `text` into the field.
    fn read(&mut self, text: &str) -> Result<(), Misfit>;
    /// The field's value as it would be written; `None` if it is open.
    fn written(&self) -> Option<String>;
    /// The sort's description for the documents.
    fn shape(&self) -> &Shape;
    /// An example of a value, for a key without a default.
    fn example(&self) -> Option<&'static str>;
    /// The key has no default and must be given.
    fn is_needed(&self) -> bool;
}

/// Where the value is stored.
pub(super) enum Field<'a, T> {
    /// It has a default.
    Given(&'a mut T),
    /// It may be left open.
    Open(&'a mut Option<T>, &'static str),
    /// It must be given; the previous content is never used.
    Need(&'a mut T, &'static str),
    /// One part of a value that several keys make up: its current content, and how it is set.
    Part(Option<T>, Box<dyn FnMut(T) + 'a>, &'static str),
}

/// Visits keys, section by section.
pub(super) struct Walk<'w> {
    section: String,
    about: &'static str,
    each: &'w mut dyn FnMut(Key<'_>),
}

impl Key<'_> {
    /// `section.name`.
    pub(super) fn full(&self) -> String {
        format!("{}.{}", self.section, self.name)
    }

    /// The value in force when the key is not given, as it would be written.
    pub(super) fn default(&self) -> Option<String> {
        self.slot.written().filter(|_| !self.slot.is_needed())
    }
}

impl<'w> Walk<'w> {
    pub(super) fn new(each: &'w mut dyn FnMut(Key<'_>)) -> Self {
        Self {
            section: String::new(),
            about: "",
            each,
        }
    }

    /// The following keys belong to this section.
    pub(super) fn section(&mut self, name: impl Into<String>, about: &'static str) {
        self.section = name.into();
        self.about = about;
    }

    /// One key, with its meaning and its effect.
    pub(super) fn key<T>(
        &mut self,
        name: &'static str,
        field: Field<'_, T>,
        sort: Sort<T>,
        about: &'static str,
        effect: &'static str,
    ) {
        (self.each)(Key {
            section: &self.section,
            section_about: self.about,
            name,
            about,
            effect,
            slot: Box::new((field, sort)),
        });
    }
}

impl<T> Slot for (Field<'_, T>, Sort<T>) {
    fn read(&mut self, text: &str) -> Result<(), Misfit> {
        let value = (self.1.read)(text)?;
        match &mut self.0 {
            Field::Given(field) | Field::Need(field, _) => **field = value,
            Field::Open(field, _) => **field = Some(value),
            Field::Part(_, set, _) => set(value),
        }
        Ok(())
    }

    fn written(&self) -> Option<String> {
        let value = match &self.0 {
            Field::Given(field) | Field::Need(field, _) => Some(&**field),
            Field::Open(field, _) => field.as_ref(),
            Field::Part(value, _, _) => value.as_ref(),
        };
        value.map(self.1.write)
    }

    fn shape(&self) -> &Shape {
        &self.1.shape
    }

    fn example(&self) -> Option<&'static str> {
        match &self.0 {
            Field::Given(_) => None,
            Field::Open(_, example) | Field::Need(_, example) | Field::Part(_, _, example) => {
                Some(example)
            }
        }
    }

    fn is_needed(&self) -> bool {
        matches!(self.0, Field::Need(..))
    }
}

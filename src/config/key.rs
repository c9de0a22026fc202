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
    /// What happens when it is raised, lowered or left out.
    pub(super) effect: &'static str,
    pub(super) slot: Box<dyn Slot + 'a>,
}

/// A field, how it is read and how it is shown.
pub(super) trait Slot {
    /// Reads `text` into the field.
    fn read(&mut self, text: &str) -> Result<(), Misfit>;
    /// What the field holds, as it would be written; `None` when it is open.
    fn written(&self) -> Option<String>;
    /// What the documents say of its sort.
    fn shape(&self) -> &Shape;
    /// What may be written where there is no default.
    fn example(&self) -> Option<&'static str>;
    /// Nothing stands for it when it is not given.
    fn is_needed(&self) -> bool;
}

/// Where the value goes.
pub(super) enum Field<'a, T> {
    /// It has a default.
    Given(&'a mut T),
    /// It may be left open.
    Open(&'a mut Option<T>, &'static str),
    /// It must be given; what it holds before is never used.
    Need(&'a mut T, &'static str),
    /// One part of a value that several keys make up: what it is now, and how it is set.
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

    /// What holds when the key is not given, as it would be written.
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

    /// The keys that follow stand in this section.
    pub(super) fn section(&mut self, name: impl Into<String>, about: &'static str) {
        self.section = name.into();
        self.about = about;
    }

    /// One key, with what it means and what it changes.
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

//! A list that is read when somebody looks at it.
//!
//! A procedure names few of the hundreds of rows and tools of the standard library. What stands in a row of it is read
//! from the text at the first look, and kept.

use std::fmt;
use std::ops::Deref;
use std::sync::OnceLock;

use super::Spans;
use crate::source::Span;

/// Items that are there already, or are read from a text at the first look.
pub struct Later<T> {
    items: OnceLock<Vec<T>>,
    unread: Option<Unread<T>>,
}

/// What is to be read: the whole text, the statement in it, and how.
struct Unread<T> {
    text: &'static str,
    at: Span,
    read: fn(&'static str, Span) -> Vec<T>,
}

impl<T> Clone for Unread<T> {
    fn clone(&self) -> Self {
        Unread { ..*self }
    }
}

impl<T> Later<T> {
    /// What `read` will find in the statement `at` of a text.
    pub fn of(text: &'static str, at: Span, read: fn(&'static str, Span) -> Vec<T>) -> Self {
        Later { items: OnceLock::new(), unread: Some(Unread { text, at, read }) }
    }

    /// Whether a word can stand in it: it is looked for in the text of what was not read yet.
    pub fn may_say(&self, word: &str) -> bool {
        let unread = self.unread.as_ref().filter(|_| self.items.get().is_none());
        unread.and_then(|unread| unread.text.get(unread.at.range())).is_none_or(|text| text.contains(word))
    }

    fn read(&self) -> Vec<T> {
        self.unread.as_ref().map(|unread| (unread.read)(unread.text, unread.at)).unwrap_or_default()
    }

    /// The items themselves, read by now.
    pub fn into_items(mut self) -> Vec<T> {
        self.items.take().unwrap_or_else(|| self.read())
    }
}

impl<T> From<Vec<T>> for Later<T> {
    fn from(items: Vec<T>) -> Self {
        Later { items: OnceLock::from(items), unread: None }
    }
}

impl<T> Deref for Later<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        self.items.get_or_init(|| self.read())
    }
}

impl<'l, T> IntoIterator for &'l Later<T> {
    type Item = &'l T;
    type IntoIter = std::slice::Iter<'l, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl<T: Clone> Clone for Later<T> {
    fn clone(&self) -> Self {
        Later { items: self.items.clone(), unread: self.unread.clone() }
    }
}

impl<T: PartialEq> PartialEq for Later<T> {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl<T: Eq> Eq for Later<T> {}

impl<T: fmt::Debug> fmt::Debug for Later<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self).finish()
    }
}

impl<T: Spans> Spans for Later<T> {
    fn spans(&mut self, visit: &mut dyn FnMut(&mut Span)) {
        let mut items = std::mem::replace(self, Vec::new().into()).into_items();
        items.spans(visit);
        *self = items.into();
    }
}

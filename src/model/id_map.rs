//! One value for every row of a table.
//!
//! A map is made along the rows, all at once, so an id of the procedure always has its value: nothing that reads one
//! has to say what becomes of an id that is missing, and no finding is lost where one is.

use std::marker::PhantomData;
use std::ops::{Index, IndexMut};

use super::ids::{Id, Table};

/// A value for every id of a [`Table`], in the order of its rows. It can be changed, and neither grows nor shrinks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct IdMap<I, T> {
    values: Vec<T>,
    id: PhantomData<I>,
}

impl<I: Id, T> IdMap<I, T> {
    /// What `make` gives for each of the rows that `I` numbers.
    pub fn along<R>(rows: &[R], mut make: impl FnMut(I, &R) -> T) -> Self {
        let values = rows.iter().enumerate().map(|(index, row)| make(I::from_index(index), row)).collect();
        IdMap { values, id: PhantomData }
    }

    /// All values with their ids, in order.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (I, &T)> + ExactSizeIterator {
        self.values.iter().enumerate().map(|(index, value)| (I::from_index(index), value))
    }

    /// The same, to be changed.
    pub fn iter_mut(&mut self) -> impl DoubleEndedIterator<Item = (I, &mut T)> + ExactSizeIterator {
        self.values.iter_mut().enumerate().map(|(index, value)| (I::from_index(index), value))
    }

    /// Gives every id the same value.
    pub fn fill(&mut self, value: T)
    where
        T: Clone,
    {
        self.values.fill(value);
    }
}

impl<I: Id, R> Table<I, R> {
    /// What `make` gives for each row.
    pub fn map<T>(&self, make: impl FnMut(I, &R) -> T) -> IdMap<I, T> {
        IdMap::along(self.rows(), make)
    }

    /// The same value for each row.
    pub fn each<T: Clone>(&self, value: T) -> IdMap<I, T> {
        self.map(|_, _| value.clone())
    }
}

impl<I: Id, T> Index<I> for IdMap<I, T> {
    type Output = T;
    fn index(&self, id: I) -> &T {
        &self.values[id.index()]
    }
}

impl<I: Id, T> IndexMut<I> for IdMap<I, T> {
    fn index_mut(&mut self, id: I) -> &mut T {
        &mut self.values[id.index()]
    }
}

#[cfg(test)]
mod tests {
    use super::super::ids::JointId;
    use super::*;

    #[test]
    fn every_id_of_a_table_has_its_value() {
        let mut joints: Table<JointId, &str> = Table::default();
        let (first, second) = (joints.push("rail"), joints.push("hook"));
        let mut lengths = joints.map(|id, name| (id, name.len()));
        assert_eq!((lengths[first], lengths[second]), ((first, 4), (second, 4)));
        lengths[second].1 += 1;
        assert_eq!(
            lengths.iter().map(|(id, (same, length))| (id == *same, *length)).collect::<Vec<_>>(),
            [(true, 4), (true, 5)]
        );
        let mut marks = joints.each(false);
        marks[first] = true;
        marks.iter_mut().for_each(|(_, mark)| *mark = !*mark);
        assert_eq!((marks[first], marks[second]), (false, true));
        marks.fill(false);
        assert!(marks.iter().all(|(_, mark)| !mark));
    }
}

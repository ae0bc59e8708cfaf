//! Ids and the tables that they index.
//!
//! An id is made only by [`Table::push`], so an id of a procedure always has its row in that procedure.

use std::marker::PhantomData;
use std::ops::{Index, IndexMut};

/// A typed index into a [`Table`].
pub trait Id: Copy {
    /// From a row number.
    fn from_index(index: usize) -> Self;
    /// The row number.
    fn index(self) -> usize;
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(u32);
        impl Id for $name {
            fn from_index(index: usize) -> Self { $name(u32::try_from(index).unwrap_or(u32::MAX)) }
            fn index(self) -> usize { self.0 as usize }
        }
    )*};
}

ids! {
    /// An option, observation or result.
    ChoiceId
    /// A given or a measure.
    NumberId
    /// A fact.
    FactId
    /// A limit.
    LimitId
    /// A part.
    PartId
    /// A tool.
    ToolId
    /// Protective equipment.
    ProtectionId
    /// A hazard.
    HazardId
    /// A named action.
    ActionId
    /// A joint.
    JointId
    /// A circuit.
    CircuitId
    /// A point of a circuit, among the points of that circuit.
    PointId
    /// A state.
    StateId
    /// A picture.
    FigureId
    /// A step or check.
    StepId
}

/// Rows in order of declaration, indexed by their own id type.
#[derive(Debug, Clone, PartialEq)]
pub struct Table<I, T> {
    rows: Vec<T>,
    id: PhantomData<I>,
}

impl<I: Id, T> Table<I, T> {
    /// Adds a row and gives its id.
    pub fn push(&mut self, row: T) -> I {
        self.rows.push(row);
        I::from_index(self.rows.len() - 1)
    }

    /// All rows with their ids, in order.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (I, &T)> + ExactSizeIterator {
        self.rows.iter().enumerate().map(|(index, row)| (I::from_index(index), row))
    }

    /// The same, to be changed.
    pub fn iter_mut(&mut self) -> impl DoubleEndedIterator<Item = (I, &mut T)> + ExactSizeIterator {
        self.rows.iter_mut().enumerate().map(|(index, row)| (I::from_index(index), row))
    }

    /// The rows, to be changed.
    pub fn rows_mut(&mut self) -> &mut [T] {
        &mut self.rows
    }

    /// All rows, in order.
    pub fn rows(&self) -> &[T] {
        &self.rows
    }

    /// All ids, in order.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = I> + use<I, T> {
        (0..self.rows.len()).map(I::from_index)
    }

    /// How many rows.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }
}

impl<I, T> Default for Table<I, T> {
    fn default() -> Self {
        Table { rows: Vec::new(), id: PhantomData }
    }
}

impl<I: Id, T> Index<I> for Table<I, T> {
    type Output = T;
    fn index(&self, id: I) -> &T {
        &self.rows[id.index()]
    }
}

/// To complete a row while the procedure is being made, or to change it while a smaller one is.
impl<I: Id, T> IndexMut<I> for Table<I, T> {
    fn index_mut(&mut self, id: I) -> &mut T {
        &mut self.rows[id.index()]
    }
}

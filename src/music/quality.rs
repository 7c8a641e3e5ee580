//! Chord qualities: one table of intervals, names and the spellings that are read.

/// What kind of chord it is, apart from its root: a row of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Quality(u8);

impl Quality {
    /// The suffix as the project writes it: ``, `m`, `m7b5`, `add9`.
    pub fn suffix(self) -> &'static str {
        todo!()
    }
}

//! Who reads a sentence: what one can do differs between a terminal and a page, and so do the words for it.

/// Where the one who reads a sentence sits.
///
/// A sentence that names something to do carries its words for each of them from where it is made; nothing is put in its place later.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reader {
    /// Before a terminal: commands, options, keys of a file.
    Terminal,
    /// Before a page: boxes to tick, fields, sheets.
    Page,
}

impl Reader {
    /// The words for this reader.
    pub const fn either<T: Copy>(self, at_terminal: T, on_page: T) -> T {
        match self {
            Self::Terminal => at_terminal,
            Self::Page => on_page,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_reader_has_own_words() {
        assert_eq!(
            [Reader::Terminal, Reader::Page].map(|reader| reader.either("key", "field")),
            ["key", "field"]
        );
    }
}

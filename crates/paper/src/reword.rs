//! Words put otherwise before they are laid out: a plan written for one reader set for another.

use crate::flow::{Block, Flow};
use crate::table::Table;

impl Flow {
    /// The same flow with all its words put otherwise; drawings stay as they are.
    #[must_use]
    pub fn reworded(&self, put: &dyn Fn(&str) -> String) -> Self {
        let mut other = self.clone();
        for block in &mut other.blocks {
            match block {
                Block::Heading { words, .. } | Block::Drawing { caption: words, .. } => *words = put(words),
                Block::Words { spans, .. } => {
                    for span in spans {
                        span.words = put(&span.words);
                    }
                }
                Block::Table(table) => table.reword(put),
                Block::Gap(_) | Block::NewColumn | Block::NewPage => {}
            }
        }
        other
    }
}

impl Table {
    /// Puts all its words otherwise, those of its head too.
    pub fn reword(&mut self, put: &dyn Fn(&str) -> String) {
        for column in &mut self.columns {
            column.head = put(&column.head);
        }
        for span in self.rows.iter_mut().flat_map(|row| &mut row.cells).flat_map(|cell| &mut cell.spans) {
            span.words = put(&span.words);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Column;
    use crate::{Extent, Item, flow::FlowArea, scene::Group};

    fn words(group: &Group, all: &mut Vec<String>) {
        for item in &group.items {
            match item {
                Item::Group(inner) => words(inner, all),
                Item::Text(text) => all.push(text.words.clone()),
                _ => {}
            }
        }
    }

    #[test]
    fn every_word_of_a_flow_is_put_otherwise() {
        let mut table = Table::new(vec![Column::left("a"), Column::right("a")]);
        table.row(["a", "a"]);
        table.heading("a");
        let mut flow = Flow::new();
        flow.heading(1, "a").paragraph("a").remark("a").point("a").note("a").warning("a").table(table);
        let put = flow.reworded(&|words| words.replace('a', "b"));
        let mut all = Vec::new();
        for page in put.pages(FlowArea::single(Extent::new(0.0, 0.0, 100.0, 200.0))) {
            words(&page.group, &mut all);
        }
        assert!(all.iter().filter(|words| *words == "b").count() >= 11, "{all:?}");
        assert!(!all.iter().any(|words| words == "a"), "{all:?}");
    }
}

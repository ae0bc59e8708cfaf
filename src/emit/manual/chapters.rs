//! Which sections share pages.
//!
//! A chapter of the steps begins on a new page and its title stands in the running header. Sections that fit on one page
//! together make one chapter, so that a short procedure does not become a heap of empty sheets.

use super::super::sheet::Chapter;
use super::flow::Block;

/// Lines of text on a page of the smaller of the two papers, by the estimate of [`Block::height`].
const LINES_A_PAGE: usize = 46;

/// The pages before the steps.
pub(super) const FRONT: &str = "front";
/// Those after them.
pub(super) const REFERENCE: &str = "reference";

/// All chapters in order; each section among the blocks is told its own, and whether it begins it.
pub(super) fn chapters(blocks: &mut [Block]) -> Vec<Chapter> {
    let mut chapters = vec![Chapter { page: FRONT.to_owned(), title: "Before you start".to_owned() }];
    let heights = heights(blocks);
    let mut heights = heights.into_iter();
    let mut filled = LINES_A_PAGE;
    for block in blocks.iter_mut() {
        let Block::Section { number, title, page, starts, .. } = block else { continue };
        let height = heights.next().unwrap_or(LINES_A_PAGE);
        let title = format!("{number} {title}");
        filled += height;
        match chapters.last_mut() {
            Some(last) if filled <= LINES_A_PAGE => last.title = format!("{} · {title}", last.title),
            _ => {
                filled = height;
                *starts = true;
                chapters.push(Chapter { page: format!("work-{number}"), title });
            }
        }
        *page = chapters.last().map(|chapter| chapter.page.clone()).unwrap_or_default();
    }
    chapters.push(Chapter { page: REFERENCE.to_owned(), title: "Reference".to_owned() });
    chapters
}

/// How many lines each section takes.
fn heights(blocks: &[Block]) -> Vec<usize> {
    let mut heights: Vec<usize> = Vec::new();
    for block in blocks {
        if matches!(block, Block::Section { .. }) {
            heights.push(0);
        }
        if let Some(last) = heights.last_mut() {
            *last += block.height();
        }
    }
    heights
}

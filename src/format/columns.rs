//! Columns: blanks between the cells of lines that belong together, and before comments.

use super::lines::{Line, Role};

/// A cell that is longer leaves its column ragged: blanks beside all others would tell nothing.
const WIDEST_CELL: usize = 64;
/// Lines that are longer are no table that anybody sees at once; theirs is left alone.
const WIDEST_LINE: usize = 160;
/// Where comments stand, if the lines before them leave room.
const COMMENT: usize = 40;
/// A line that is longer does not push the comments of its neighbours away.
const WIDEST_BEFORE_COMMENT: usize = 78;

/// Puts all columns in order.
pub fn align(lines: &mut [Line]) {
    keywords(lines);
    let mut from = 0;
    while from < lines.len() {
        let until = table_until(lines, from);
        if let Some(table) = lines.get_mut(from..until)
            && table.iter().all(|line| line.width() <= WIDEST_LINE)
        {
            column(table, 0);
        }
        from = until.max(from + 1);
    }
    comments(lines);
}

fn wide(cell: &str) -> usize {
    cell.chars().count()
}

fn pad(cell: &mut String, width: usize) {
    let missing = width.saturating_sub(wide(cell));
    cell.push_str(&" ".repeat(missing));
}

/// One column for what follows the first word of a block's lines, up to a blank line among them.
fn keywords(lines: &mut [Line]) {
    let mut open: Vec<(usize, Vec<usize>)> = Vec::new();
    let mut groups = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        // Blocks inside a block have higher numbers, and are done when a line of the block around them comes.
        while let Some(group) = open.pop_if(|(block, _)| *block > line.block) {
            groups.push(group.1);
        }
        if line.gap
            && let Some(group) = open.pop_if(|(block, _)| *block == line.block)
        {
            groups.push(group.1);
        }
        if line.role != Role::Keyword {
            continue;
        }
        match open.last_mut() {
            Some((block, group)) if *block == line.block => group.push(at),
            _ => open.push((line.block, vec![at])),
        }
    }
    groups.extend(open.into_iter().map(|(_, group)| group));
    for group in groups {
        let first = |at: &usize| lines.get(*at).and_then(|line| line.cells.first());
        let width = group.iter().filter_map(first).map(|cell| wide(cell)).max().unwrap_or(0);
        for at in group {
            let mut indent = 0;
            if let Some(line) = lines.get_mut(at) {
                line.cells.iter_mut().take(1).for_each(|cell| pad(cell, width));
                indent = line.indent + width + 1;
            }
            let following = lines.iter_mut().skip(at + 1).take_while(|line| line.role == Role::GoesOn);
            following.for_each(|line| line.indent = indent);
        }
    }
}

/// Where the table ends that begins at a line: at another form, another block, a blank line.
fn table_until(lines: &[Line], from: usize) -> usize {
    let Some(first) = lines.get(from) else { return from + 1 };
    if !matches!(first.role, Role::Table(_)) {
        return from + 1;
    }
    let more = lines.iter().skip(from + 1);
    let same = |line: &&Line| line.role == first.role && line.block == first.block && !line.gap;
    from + 1 + more.take_while(same).count()
}

/// Makes a column even over lines that follow each other and go on after it; then the columns to its right.
fn column(table: &mut [Line], at: usize) {
    let mut from = 0;
    while from < table.len() {
        let goes_on = |line: &Line| line.cells.len() > at + 1;
        let run = table.iter().skip(from).take_while(|line| goes_on(line)).count();
        if let Some(lines) = table.get_mut(from..from + run).filter(|lines| !lines.is_empty()) {
            let widths = lines.iter().filter_map(|line| line.cells.get(at)).map(|cell| wide(cell));
            let width = widths.max().unwrap_or(0);
            if width <= WIDEST_CELL {
                lines.iter_mut().filter_map(|line| line.cells.get_mut(at)).for_each(|cell| pad(cell, width));
            }
            column(lines, at + 1);
        }
        from += run.max(1);
    }
}

/// Comments behind lines that follow each other stand below each other.
fn comments(lines: &mut [Line]) {
    let mut from = 0;
    while from < lines.len() {
        let run = lines.iter().skip(from);
        let run = run.enumerate().take_while(|(at, line)| line.comment.is_some() && (*at == 0 || !line.gap)).count();
        if let Some(lines) = lines.get_mut(from..from + run) {
            let widths = lines.iter().map(Line::width).filter(|width| *width <= WIDEST_BEFORE_COMMENT);
            let place = widths.max().map_or(COMMENT, |widest| COMMENT.max(widest + 2));
            for line in lines {
                line.before_comment = place.saturating_sub(line.width()).max(2);
            }
        }
        from += run.max(1);
    }
}

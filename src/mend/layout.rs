//! How a text is laid out, and edits that keep it so.

use crate::diagnostics::Edit;
use crate::parse::{self, Statement};
use crate::source::{FileId, Span};

/// Statements that say a torque, a limit or a safety message, by their first words.
const KEPT: [&str; 10] =
    ["torque", "tight", "limit", "danger", "warning", "caution", "notice", "consequence", "avoid", "brings"];

/// Statements with a value that something is judged by.
const JUDGED: [&str; 11] =
    ["drop", "fuse", "breaker", "expect", "range", "require", "fact", "load", "mass", "into", "grip"];

/// Blocks before whose lines nothing can be accepted, by their first words: lists, and safety messages.
const GROUPS: [&str; 12] =
    ["bag", "box", "shop", "vehicle", "limit", "figure", "given", "measure", "danger", "warning", "caution", "notice"];

/// Blocks that say nothing once their last line is taken out, by their first words.
const LISTS: [&str; 8] = ["when", "else", "otherwise", "kit", "bag", "box", "vehicle", "about"];

/// A text with its statements.
pub struct Layout<'t> {
    file: FileId,
    text: &'t str,
    statements: Vec<Statement>,
    line_end: &'static str,
}

/// The statements around a place, from the outermost; with each, those beside it and its place among them.
type Path<'l> = Vec<(&'l [Statement], usize)>;

impl<'t> Layout<'t> {
    pub fn of(file: FileId, text: &'t str) -> Layout<'t> {
        let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        Layout { file, text, statements: parse::layout(file, text), line_end }
    }

    /// An edit of this text.
    pub fn edit(&self, start: usize, end: usize, text: String) -> Option<Edit> {
        self.text.get(start..end)?;
        Some(Edit { span: Span::new(self.file, start, end), text })
    }

    fn path(&self, at: u32) -> Path<'_> {
        let mut path: Path<'_> = Vec::new();
        let mut level: &[Statement] = &self.statements;
        loop {
            let holds = |one: &Statement| one.start <= at && at < one.whole_end().max(one.start + 1);
            // At the very end of a statement, it is still that one.
            let ends = |one: &Statement| one.start <= at && at == one.whole_end();
            let Some(found) = level.iter().position(holds).or_else(|| level.iter().position(ends)) else { break };
            path.push((level, found));
            match level.get(found).and_then(|one| one.block.as_ref()) {
                Some(block) if block.open < at => level = &block.statements,
                _ => break,
            }
        }
        path
    }

    /// The innermost statement at a place.
    fn statement(&self, at: u32) -> Option<&Statement> {
        self.path(at).last().and_then(|(level, at)| level.get(*at))
    }

    fn word_of(&self, statement: &Statement) -> &'t str {
        let head = self.head_of(statement);
        head.split(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).next().unwrap_or("")
    }

    fn head_of(&self, statement: &Statement) -> &'t str {
        self.text.get(statement.start as usize..statement.end as usize).unwrap_or("")
    }

    /// Where the line of a byte begins.
    fn line_start(&self, at: usize) -> usize {
        self.text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1)
    }

    /// Where the line of a byte ends, before its line end.
    fn line_stop(&self, at: usize) -> usize {
        let rest = self.text.get(at..).unwrap_or("");
        let line = rest.split('\n').next().unwrap_or("");
        at + line.trim_end_matches('\r').len()
    }

    /// Past the line end of the line of a byte.
    fn next_line(&self, at: usize) -> usize {
        let rest = self.text.get(at..).unwrap_or("");
        rest.find('\n').map_or(self.text.len(), |end| at + end + 1)
    }

    fn indent_at(&self, at: usize) -> &'t str {
        let line = self.text.get(self.line_start(at)..).unwrap_or("");
        let blank = line.len() - line.trim_start_matches([' ', '\t']).len();
        line.get(..blank).unwrap_or("")
    }

    fn leads(&self, at: usize) -> bool {
        self.text.get(self.line_start(at)..at).is_some_and(|before| before.trim().is_empty())
    }

    /// Whether nothing but a comment follows on the line.
    fn trails(&self, at: usize) -> bool {
        self.text.get(at..self.line_stop(at)).is_some_and(|after| {
            let after = after.trim_start();
            after.is_empty() || after.starts_with('#')
        })
    }

    /// Where a name stands in a place as a word of its own.
    pub fn word(&self, span: Span, name: &str) -> Option<usize> {
        self.word_in(span, name).or_else(|| {
            let statement = self.statement(span.start)?;
            self.word_in(Span::new(self.file, statement.start as usize, statement.end as usize), name)
        })
    }

    fn word_in(&self, span: Span, name: &str) -> Option<usize> {
        let text = self.text.get(span.range())?;
        let joins = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/');
        let (opens, closes) = (name.starts_with(joins), name.ends_with(joins));
        let alone = |at: &usize| {
            let before = text.get(..*at).and_then(|part| part.chars().next_back());
            let after = text.get(at + name.len()..).and_then(|part| part.chars().next());
            !(opens && before.is_some_and(joins) || closes && after.is_some_and(joins))
        };
        text.match_indices(name).map(|(at, _)| at).find(alone).map(|at| span.start as usize + at)
    }

    /// Words of a statement's block written otherwise, or put in at its end.
    pub fn in_block(&self, at: u32, from: &str, to: &str) -> Option<Edit> {
        let statement = self.statement(at)?;
        let whole = Span::new(self.file, statement.start as usize, statement.whole_end() as usize);
        match self.word_in(whole, from) {
            Some(at) => self.edit(at, at + from.len(), to.to_owned()),
            None => self.inside_of(statement, to),
        }
    }

    /// Takes out the statement at a place, the lines that accept something of it, and the block that holds nothing else.
    pub fn drop(&self, at: u32) -> Option<Edit> {
        let path = self.path(at);
        let mut depth = path.len().checked_sub(1)?;
        while let Some((beside, _)) = path.get(depth)
            && beside.len() == 1
            && let Some(owner) = depth.checked_sub(1).and_then(|up| path.get(up)).and_then(|(level, at)| level.get(*at))
            && LISTS.contains(&self.word_of(owner))
        {
            depth -= 1;
        }
        let (beside, place) = path.get(depth)?;
        let statement = beside.get(*place)?;
        let before = beside.get(..*place)?;
        let accepts = before.iter().rev().take_while(|one| self.word_of(one) == "accept").count();
        let first = beside.get(place - accepts)?;
        if accepts == 0 && statement.block.is_none() && !self.leads(statement.start as usize) {
            let (start, end) = self.segment(statement, at);
            return self.cut(start, end);
        }
        self.cut(first.start as usize, statement.whole_end() as usize)
    }

    /// Of a one-line block, in which two blanks part what stands in it, the part that holds a place.
    fn segment(&self, statement: &Statement, at: u32) -> (usize, usize) {
        let (head, base) = (self.head_of(statement), statement.start as usize);
        let at = (at as usize).saturating_sub(base);
        let mut parts = head
            .match_indices("  ")
            .map(|(gap, _)| gap)
            .filter(|gap| head.get(..*gap).is_some_and(|before| before.matches('"').count() % 2 == 0));
        let start = parts.clone().take_while(|gap| *gap <= at).last().map_or(0, |gap| gap);
        let start = start + head.get(start..).map_or(0, |rest| rest.len() - rest.trim_start().len());
        let end = parts.find(|gap| *gap > at).unwrap_or(head.len());
        (base + start, base + end)
    }

    /// A range taken out: with its lines where it fills them, else with the blanks beside it.
    pub fn cut(&self, start: usize, end: usize) -> Option<Edit> {
        if !(self.leads(start) && self.trails(end)) {
            let before = self.text.get(..start)?;
            let from = before.trim_end_matches([' ', '\t']).len();
            let after = self.text.get(end..)?;
            let closes = after.trim_start_matches([' ', '\t']).starts_with('}');
            let opens = before.get(..from)?.ends_with('{');
            return match (opens, closes) {
                (false, _) => self.edit(from, end, String::new()),
                (true, false) => {
                    self.edit(start, end + (after.len() - after.trim_start_matches([' ', '\t']).len()), String::new())
                }
                (true, true) => self.edit(start, end, String::new()),
            };
        }
        let from = self.line_start(start);
        let mut to = self.next_line(end);
        // No two empty lines where there was one on either side, and none at the beginning or end of a block.
        let line_before = self.text.get(..from)?.trim_end_matches(['\n', '\r']);
        let blank_before =
            self.text.get(line_before.len()..from)?.matches('\n').count() > 1 || line_before.ends_with('{');
        let after = self.text.get(to..)?;
        let line_after = after.split('\n').next().unwrap_or("");
        if blank_before && !after.is_empty() && line_after.trim().is_empty() {
            to = self.next_line(to);
        }
        self.edit(from, to, String::new())
    }

    /// The words of a statement that says one thing, written otherwise.
    pub fn line(&self, at: u32, text: &str) -> Option<Edit> {
        let statement = self.statement(at)?;
        let (start, end) = if self.leads(statement.start as usize) {
            (statement.start as usize, statement.start as usize + self.head_of(statement).trim_end().len())
        } else {
            self.segment(statement, at)
        };
        let says_more = self.text.get(start..end)?.split('"').step_by(2).any(|part| part.contains(','));
        (!says_more).then(|| self.edit(start, end, text.to_owned()))?
    }

    /// Takes an entry out of a list with commas.
    pub fn drop_entry(&self, span: Span) -> Option<Edit> {
        let statement = self.statement(span.start)?;
        let (start, end) = (span.start as usize, span.end as usize);
        let before = self.text.get(statement.start as usize..start)?;
        let after = self.text.get(end..statement.end as usize)?;
        if let Some(rest) = after.trim_start().strip_prefix(',') {
            let skip = after.len() - rest.trim_start().len();
            return self.edit(start, end + skip, String::new());
        }
        if before.trim_end().ends_with(',') {
            let from = start - (before.len() - before.trim_end().trim_end_matches(',').trim_end().len());
            return self.edit(from, end, String::new());
        }
        self.drop(span.start)
    }

    /// The text as lines of their own at an indentation.
    fn indented(&self, indent: &str, text: &str) -> String {
        text.lines().map(|line| format!("{indent}{line}")).collect::<Vec<_>>().join(self.line_end)
    }

    /// A line before the statement at a place.
    pub fn before(&self, at: u32, text: &str) -> Option<Edit> {
        let start = self.statement(at)?.start as usize;
        if self.leads(start) {
            let line = self.line_start(start);
            return self.edit(line, line, self.indented(self.indent_at(start), text) + self.line_end);
        }
        (!text.contains('\n')).then(|| self.edit(start, start, format!("{text}  ")))?
    }

    /// A line that accepts something of the statement at a place. In lists none may stand: it goes before the list.
    pub fn accept(&self, at: u32, line: &str, of_a_list: &str) -> Option<Edit> {
        let path = self.path(at);
        let mut depth = path.len().checked_sub(1)?;
        let mut text = line;
        while let Some(owner) = depth.checked_sub(1).and_then(|up| path.get(up)).and_then(|(level, at)| level.get(*at))
            && GROUPS.contains(&self.word_of(owner))
        {
            let counted = matches!(self.word_of(owner), "bag" | "box" | "shop" | "vehicle");
            (depth, text) = (depth - 1, if counted { of_a_list } else { line });
        }
        let start_of =
            |depth: usize| path.get(depth).and_then(|(level, at)| level.get(*at)).map(|one| one.start as usize);
        while depth > 0 && !start_of(depth).is_some_and(|start| self.leads(start)) {
            (depth, text) = (depth - 1, of_a_list);
        }
        let start = start_of(depth).filter(|start| self.leads(*start))?;
        let line = self.line_start(start);
        self.edit(line, line, format!("{}{text}{}", self.indent_at(start), self.line_end))
    }

    /// Where a statement lists points after `at`: the list, from the `at` on.
    fn list_of_points(&self, at: u32) -> Option<(usize, &'t str)> {
        let statement = self.statement(at)?;
        let head = self.head_of(statement);
        let from = head.find(" at ")?;
        let list = head.get(from..)?;
        let list = list.get(..list.find(" with ").unwrap_or(list.len()))?.trim_end();
        Some((statement.start as usize + from, list))
    }

    /// The list of points taken out, or with one of them first.
    pub fn points(&self, at: u32, first: &str) -> Option<Edit> {
        let (from, list) = self.list_of_points(at)?;
        if first.is_empty() {
            return self.edit(from, from + list.len(), String::new());
        }
        let others = list.strip_prefix(" at ")?.split(',').map(str::trim).filter(|point| *point != first);
        let all: Vec<&str> = std::iter::once(first).chain(others).collect();
        self.edit(from, from + list.len(), format!(" at {}", all.join(", ")))
    }

    /// A text after the words of the statement at a place.
    pub fn append(&self, at: u32, text: &str) -> Option<Edit> {
        let statement = self.statement(at)?;
        let end = if self.leads(statement.start as usize) {
            statement.start as usize + self.head_of(statement).trim_end().len()
        } else {
            self.segment(statement, at).1
        };
        self.edit(end, end, text.to_owned())
    }

    /// The words from a place on as a prose line of their own.
    pub fn sentence(&self, span: Span, text: &str) -> Option<Edit> {
        let statement = self.statement(span.start).filter(|one| one.prose && self.leads(one.start as usize))?;
        let before = self.text.get(statement.start as usize..span.start as usize)?;
        let kept = before.trim_end().trim_end_matches(',').len();
        let indent = self.indent_at(statement.start as usize);
        self.edit(statement.start as usize + kept, span.end as usize, format!(".{}{indent}> {text}", self.line_end))
    }

    /// The prose line, where it says just this, as a `note` or an `expect`.
    pub fn note(&self, span: Span, word: &str) -> Option<Edit> {
        let statement = self.statement(span.start).filter(|one| one.prose)?;
        let says = self.text.get(span.range())?;
        let alone = self.head_of(statement).trim_end().strip_prefix('>')?.trim() == says;
        let plain = !says.contains(['"', '\\', '*', '_', '`', '\n']);
        (alone && plain).then(|| {
            let (start, end) = (statement.start as usize, span.end as usize);
            self.edit(start, end, format!("{word} \"{says}\""))
        })?
    }

    /// The words of a statement without a block.
    pub fn words(&self, at: u32) -> Option<String> {
        let statement = self.statement(at).filter(|one| one.block.is_none())?;
        let (start, end) = if self.leads(statement.start as usize) {
            (statement.start as usize, statement.end as usize)
        } else {
            self.segment(statement, at)
        };
        let words = self.text.get(start..end)?.trim_end();
        (!words.contains('\n')).then(|| words.to_owned())
    }

    /// A line after the statement at a place.
    pub fn after(&self, at: u32, text: &str) -> Option<Edit> {
        self.after_statement(self.statement(at)?, text)
    }

    fn after_statement(&self, statement: &Statement, text: &str) -> Option<Edit> {
        let (start, end) = (statement.start as usize, statement.whole_end() as usize);
        if self.leads(start) && self.trails(end) {
            let stop = self.line_stop(end);
            return self.edit(stop, stop, format!("{}{}", self.line_end, self.indented(self.indent_at(start), text)));
        }
        (!text.contains('\n')).then(|| self.edit(end, end, format!("  {text}")))?
    }

    /// A line at the end of the block of the statement at a place.
    pub fn inside(&self, at: u32, text: &str) -> Option<Edit> {
        self.inside_of(self.statement(at)?, text)
    }

    fn inside_of(&self, statement: &Statement, text: &str) -> Option<Edit> {
        let Some(block) = &statement.block else {
            let end = statement.end as usize;
            let block = if text.contains('\n') {
                let indent = self.indent_at(statement.start as usize);
                let inner = self.indented(&format!("{indent}  "), text);
                format!(" {{{0}{inner}{0}{indent}}}", self.line_end)
            } else {
                format!(" {{ {text} }}")
            };
            return self.edit(end, end, block);
        };
        let (open, close) = (block.open as usize, block.close as usize);
        let brace = close.checked_sub(1).filter(|at| self.text.get(*at..close) == Some("}"))?;
        if self.leads(brace) {
            let own = self.indent_at(statement.start as usize);
            let last = block.statements.last().filter(|last| self.leads(last.start as usize));
            let indent = last.map_or_else(|| format!("{own}  "), |last| self.indent_at(last.start as usize).to_owned());
            let line = self.line_start(brace);
            return self.edit(line, line, self.indented(&indent, text) + self.line_end);
        }
        if text.contains('\n') {
            return None;
        }
        let listed = matches!(self.word_of(statement), "bag" | "box" | "shop" | "vehicle");
        match block.statements.last() {
            Some(last) if listed => {
                self.edit(last.whole_end() as usize, last.whole_end() as usize, format!(", {text}"))
            }
            Some(last) => self.edit(last.whole_end() as usize, last.whole_end() as usize, format!("  {text}")),
            None => self.edit(open + 1, brace, format!(" {text} ")),
        }
    }

    /// A line in the file, after the last of its sort before the work begins, else after the last declaration.
    pub fn declare(&self, text: &str) -> Option<Edit> {
        let word = text.split(' ').next()?;
        // Of some there is one in a file.
        let inner = text.split_once('{').and_then(|(_, inner)| inner.trim_end().strip_suffix('}')).map(str::trim);
        let one = self
            .statements
            .iter()
            .find(|one| self.head_of(one).trim() == word && matches!(word, "kit" | "vehicle" | "about"));
        if let (Some(one), Some(inner)) = (one, inner) {
            return self.inside_of(one, inner);
        }
        let work = self.statements.iter().position(|one| self.word_of(one) == "section");
        let declared = self.statements.get(..work.unwrap_or(self.statements.len()))?;
        if let Some(like) = declared.iter().rfind(|one| self.word_of(one) == word) {
            return self.after_statement(like, text);
        }
        let last = declared.last()?;
        let mut edit = self.after_statement(last, text)?;
        // What begins a new sort of lines stands apart from the head of the file.
        if self.statements.first().is_some_and(|first| first.start == last.start) {
            edit.text = format!("{}{}", self.line_end, edit.text);
        }
        Some(edit)
    }

    /// A line at the end of the last step before a place that every path to it takes.
    pub fn in_step_before(&self, at: u32, text: &str) -> Option<Edit> {
        let always = |one: &Statement, word: &str| {
            self.word_of(one) == word
                && !self
                    .head_of(one)
                    .split('"')
                    .step_by(2)
                    .any(|part| part.split_whitespace().any(|word| word == "when"))
        };
        for (beside, place) in self.path(at).iter().rev() {
            let before = beside.get(..*place)?;
            for one in before.iter().rev() {
                if always(one, "step") {
                    return self.inside_of(one, text);
                }
                let inner = one.block.as_ref().filter(|_| always(one, "section"));
                if let Some(step) = inner.and_then(|block| block.statements.iter().rfind(|step| always(step, "step"))) {
                    return self.inside_of(step, text);
                }
            }
        }
        None
    }

    /// The first statement moved to before the second.
    pub fn moved(&self, what: u32, to: u32) -> Option<Vec<Edit>> {
        let statement = self.statement(what)?;
        let (start, end) = (statement.start as usize, statement.whole_end() as usize);
        let target = self.statement(to)?.start as usize;
        if !(self.leads(start) && self.trails(end) && self.leads(target)) || (start..end).contains(&target) {
            return None;
        }
        let cut = self.cut(start, end)?;
        let line = self.line_start(target);
        let own = self.indent_at(start);
        let indent = self.indent_at(target);
        let body = self.text.get(self.line_start(start)..self.line_stop(end))?;
        let lines: Vec<String> =
            body.lines().map(|line| format!("{indent}{}", line.strip_prefix(own).unwrap_or(line))).collect();
        Some(vec![cut, self.edit(line, line, lines.join(self.line_end) + self.line_end)?])
    }

    /// A condition after the words of the step that holds a place.
    pub fn under(&self, at: u32, condition: Span) -> Option<Edit> {
        let path = self.path(at);
        let steps = path.iter().rev().filter_map(|(level, at)| level.get(*at));
        let step = steps.into_iter().find(|one| matches!(self.word_of(one), "step" | "check"))?;
        if self.head_of(step).split('"').step_by(2).any(|part| part.split_whitespace().any(|word| word == "when")) {
            return None;
        }
        let end = step.start as usize + self.head_of(step).trim_end().len();
        self.edit(end, end, format!(" when {}", self.text.get(condition.range())?))
    }

    /// A condition taken away, with its `when`; only behind the words of something that stands without it as well.
    pub fn drop_condition(&self, span: Span) -> Option<Edit> {
        let statement = self.statement(span.start)?;
        let before = self.text.get(statement.start as usize..span.start as usize)?.trim_end().strip_suffix("when")?;
        let kept = before.trim_end().len();
        (kept > 0).then(|| self.edit(statement.start as usize + kept, span.end as usize, String::new()))?
    }

    fn is_inside(&self, words: &[&str], start: u32, end: u32) -> bool {
        let around = self.path(start);
        let mut around = around.iter().filter_map(|(level, at)| level.get(*at));
        around.any(|one| words.contains(&self.word_of(one)) && one.start <= start && end <= one.whole_end())
    }

    /// Whether a range lies in a statement that says what is for a person.
    pub fn is_inside_kept(&self, start: u32, end: u32) -> bool {
        self.is_inside(&KEPT, start, end)
    }

    /// The same, or in one with a value that something is judged by.
    pub fn is_inside_judged(&self, start: u32, end: u32) -> bool {
        self.is_inside(&KEPT, start, end) || self.is_inside(&JUDGED, start, end)
    }

    /// Whether a text is the word by which such a statement begins.
    pub fn is_word_of_kept(&self, text: &str) -> bool {
        KEPT.contains(&text.trim())
    }

    /// Whether a range holds such a statement, or a part of one.
    pub fn holds_kept(&self, start: u32, end: u32) -> bool {
        self.any_kept(&self.statements, start, end)
    }

    fn any_kept(&self, level: &[Statement], start: u32, end: u32) -> bool {
        level.iter().filter(|one| one.start < end && start < one.whole_end()).any(|one| {
            KEPT.contains(&self.word_of(one)) && start <= one.end
                || one.block.as_ref().is_some_and(|block| self.any_kept(&block.statements, start, end))
        })
    }
}

//! How large and how deep a file may be, so that the worst input costs no more than a moment.

/// Bytes of one file.
pub const FILE_BYTES: usize = 8 * 1024 * 1024;

/// Blocks in blocks, `else when` after `else when`.
pub const DEPTH: usize = 64;

/// Brackets in brackets. Each takes some 30 kB of stack in a build without optimization, and a thread has 2 MiB.
pub const BRACKETS: usize = 32;

/// Where brackets stand in more than [`BRACKETS`] others, in the words of a statement: the first byte of that one. Whoever gives
/// words to the grammar asks first, since every level takes room on the stack.
pub(super) fn bracket_too_deep(words: &str) -> Option<usize> {
    let mut depth = 0_usize;
    // Those in a text count too: whether a quote is a text's or an inch's is known only after reading.
    words.bytes().position(|byte| {
        match byte {
            b'(' => depth += 1,
            b')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        depth > BRACKETS
    })
}

/// Parts of one sum or condition.
pub const OPERANDS: usize = 64;

/// Values of one choice.
pub const VALUES: usize = 1_000;

/// Findings about one file; what lies beyond is counted.
pub const FINDINGS: usize = 100;

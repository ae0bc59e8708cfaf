//! How large and how deep a file may be, so that the worst input costs no more than a moment.

/// Bytes of one file.
pub const FILE_BYTES: usize = 8 * 1024 * 1024;

/// Blocks in blocks, brackets in brackets, `else when` after `else when`.
pub const DEPTH: usize = 64;

/// Parts of one sum or condition.
pub const OPERANDS: usize = 64;

/// Values of one choice.
pub const VALUES: usize = 1_000;

/// Findings about one file; what lies beyond is counted.
pub const FINDINGS: usize = 100;

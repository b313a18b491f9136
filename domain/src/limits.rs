//! How big anything may be. Every limit is checked where a value enters.
//!
//! The bound that makes exact arithmetic safe: one level of a plan multiplies an
//! amount (at most 10^12 µg for a batch of a tonne), a formula sum (10^8), a loss
//! chain (10^12) and a number of loads (10^3). That is 10^35, and `i128` holds
//! 1.7 × 10^38; every step is checked all the same and overflow is an error.

/// Longest code, in bytes.
pub const CODE_BYTES_MAX: usize = 64;
/// Longest name or free text, in characters.
pub const NAME_CHARS_MAX: usize = 200;
/// Digits after the decimal point that an amount may carry: millionths.
pub const AMOUNT_DECIMALS: u32 = 6;
/// Largest amount in base units (g, mL or each).
pub const AMOUNT_MAX: i64 = 1_000_000_000;
/// Digits after the point that a percentage or part may carry.
pub const PERCENT_DECIMALS: u32 = 6;
/// Largest percentage or part.
pub const PARTS_MAX: i64 = 10_000_000;
/// Formula inside formula, at most this deep.
pub const NESTING_MAX: usize = 40;
/// Lines of one formula or product.
pub const LINES_MAX: usize = 200;
/// Losses in one chain.
pub const LOSSES_MAX: usize = 8;
/// Pieces in one order line.
pub const PIECES_MAX: i64 = 1_000_000;
/// Loads of one batch; more means that a number was mistyped.
pub const LOADS_MAX: i128 = 1_000;
/// Days a plan looks ahead.
pub const HORIZON_DAYS_MAX: i64 = 62;
/// Times the largest flour line is moved to bring a load to its mass.
pub const NUDGES_MAX: u32 = 100;

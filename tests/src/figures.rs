//! What benchmarks print: times beside the time that they are held against.

use std::time::Duration;

/// Prints a time in microseconds and as a ratio to `unit`, rounded down to hundredths.
pub fn row(name: &str, time: Duration, unit: Duration) {
    let hundredths = time.as_nanos() * 100 / unit.as_nanos().max(1);
    let micros = time.as_micros();
    print(&format!("{name:<44} {micros:>9} us {:>7}.{:02} x", hundredths / 100, hundredths % 100));
}

/// Prints a line.
#[expect(clippy::print_stdout, reason = "a benchmark's answer is what it prints")]
pub fn print(line: &str) {
    println!("{line}");
}

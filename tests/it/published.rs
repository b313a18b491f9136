//! Figures that were published, or worked out by hand from published ones.
//!
//! Each check names its row and its source. Rows of the same sections that state facts
//! about the world and ask nothing of this service are not checked here: ranges of
//! losses and yields (AP-23, LO-05), cups of further foods (DN-10, DN-11), egg size
//! classes (EG-01, EG-02, EG-04), moisture of ingredients (BP-47), conversion factors on
//! which sources disagree (YE-04), weights-and-measures law (WT-01 to WT-05, WT-08, AW-01
//! to AW-11), how another table cuts its kilojoules (NU-06), and quirks of the food table
//! (NU-07, NU-08: the release is pinned by its rows in `nutrition`). Not checked for
//! want of anything to ask: least life left after production (FE-04), a warning of a
//! misprinted yeast (BP-28; its sum is checked), and the ledger invariants of
//! reservations and traces (2, 9, 10). The others are tried on random histories in `ledger`.

mod end_to_end;
mod labels;
mod ledger;
mod losses;
mod mrp;
mod nutrition;
mod percent;
mod scales;
mod stock;

use num_rational::BigRational;
use num_traits::Signed;
use weighhouse_tests::exact;

/// Fails unless a value is within a tolerance of the published one.
#[track_caller]
fn near(row: &str, found: &BigRational, published: &str, tolerance: &str) {
    let read = |text: &str| exact::parse(text).expect("the published figure is a number");
    let off = (found - read(published)).abs();
    assert!(
        off <= read(tolerance),
        "{row}: published {published} ± {tolerance}, found {}",
        exact::decimal(found, 6)
    );
}

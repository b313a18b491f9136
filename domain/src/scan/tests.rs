//! Published rows: check-values.md part 10, seen in GS1's own engine or its unit tests.

use super::*;
use jiff::civil::date;

const TODAY: Date = Date::constant(2026, 6, 10);

fn read(text: &str) -> Scan {
    Scan::read(text).unwrap_or_else(|faults| panic!("{text}: {faults:?}"))
}

fn faults(text: &str) -> Vec<ScanFault> {
    Scan::read(text).expect_err(text)
}

#[test]
fn check_digits_are_the_published_ones() {
    // Source: GS-01 (gs1.org), GS-02 (gs1.se), GS-04 (GS1 UK).
    assert_eq!(check_digit("629104150021"), Some(3));
    assert_eq!(check_digit("730001100001"), Some(7));
    assert_eq!(check_digit("501234567890"), Some(0));
    // GS-05, unit tests of GS1's engine; GS-07, run through it.
    for number in [
        "02345673",
        "416000336108",
        "1234567890128",
        "12345678901231",
        "123456789012345675",
        "09506000134352",
        "106141412345678908",
    ] {
        let (others, last) = number.split_at(number.len() - 1);
        assert_eq!(check_digit(others).map(|digit| digit.to_string()).as_deref(), Some(last));
    }
    assert_eq!(check_digit(""), None);
    assert_eq!(check_digit("12a"), None);
}

#[test]
fn an_element_string_is_read_with_its_symbology_and_separators() {
    // Source: GS-20.
    let scan = read("]C101095060001343521726113010LOT7\u{1d}3103001250");
    assert_eq!(scan.gtin(), Some("09506000134352"));
    assert_eq!(scan.date("17", TODAY), Some(date(2026, 11, 30)));
    assert_eq!(scan.lot(), Some("LOT7"));
    assert_eq!(scan.net_weight_ug(), Some(Ratio::whole(1_250_000_000)), "1.250 kg");
    assert_eq!(scan.bracketed(), "(01)09506000134352(17)261130(10)LOT7(3103)001250");
}

#[test]
fn the_bracketed_form_is_read_and_its_check_digit_with_it() {
    // Source: GS-22 and GS-23.
    let scan = read("(01)95012345678903(3103)000123");
    assert_eq!(scan.net_weight_ug(), Some(Ratio::whole(123_000_000)), "0.123 kg");
    let wrong = faults("(01)95012345678902(3103)000123");
    assert_eq!(wrong.len(), 1);
    assert_eq!(wrong[0].position, 0);
    assert!(wrong[0].detail.contains("check digit is 3"), "{}", wrong[0].detail);
}

#[test]
fn dates_are_read_with_day_00_and_the_century_of_today() {
    // Source: GS-25 (day 00: meaning from memory) and GS-26.
    assert_eq!(read("(17)261100").date("17", TODAY), Some(date(2026, 11, 30)));
    for (text, wrong) in
        [("(17)260231", "day 31"), ("(11)131313", "month 13"), ("(17)210229", "day 29")]
    {
        assert!(faults(text)[0].detail.contains(wrong), "{text}: {:?}", faults(text));
    }
    assert_eq!(read("(17)240229").date("17", TODAY), Some(date(2024, 2, 29)));
    // Source: GS1 General Specifications, century: 51 and more above is the last century,
    // 50 and more below the next.
    assert_eq!(date_of("760101", TODAY), Ok(date(2076, 1, 1)));
    assert_eq!(date_of("770101", TODAY), Ok(date(1977, 1, 1)));
    assert_eq!(date_of("260101", date(2080, 1, 1)), Ok(date(2126, 1, 1)));
    assert_eq!(date_of("310101", date(2080, 1, 1)), Ok(date(2031, 1, 1)));
    assert_eq!(date_of("280200", TODAY), Ok(date(2028, 2, 29)));
}

#[test]
fn what_is_in_a_logistic_unit_needs_its_unit() {
    // Source: GS-28 and GS-29.
    let alone = faults("(02)09506000134352(37)24(10)L1");
    assert!(alone.iter().any(|fault| fault.detail.contains("(37)")), "{alone:?}");
    let scan = read("(00)106141412345678908(02)09506000134352(37)24(10)L1");
    assert_eq!(scan.count(), Some(24));
    assert_eq!((scan.gtin(), scan.lot()), (Some("09506000134352"), Some("L1")));
    assert_eq!(scan.sscc(), Some("106141412345678908"));
}

#[test]
fn a_lot_has_twenty_characters_at_most() {
    // Source: GS-31.
    assert!(Scan::read(&format!("(10){}", "A".repeat(20))).is_ok());
    let long = faults(&format!("(10){}", "A".repeat(21)));
    assert!(long[0].detail.contains("21 characters, at most 20"), "{long:?}");
}

#[test]
fn a_plain_number_is_a_pack_without_identifiers() {
    // Source: GS-32.
    assert_eq!(read("]E09506000134352").gtin(), Some("09506000134352"));
    assert_eq!(read("9506000134352").elements().len(), 1);
    assert!(Scan::read("9506000134353").is_err(), "its last digit does not fit");
}

#[test]
fn digital_links_are_read_from_any_domain_and_stem() {
    // Source: DL-01 and DL-02.
    let scan = read("https://id.gs1.org/01/09506000134352/10/LOT7?17=261130&3103=001250");
    assert_eq!(scan.bracketed(), "(01)09506000134352(10)LOT7(17)261130(3103)001250");
    let scan = read("https://example.com/shop/01/09506000134352/10/LOT%2F7?15=261130");
    assert_eq!(scan.lot(), Some("LOT/7"));
    // Source: DL-05.
    let scan = read("https://id.gs1.org/01/09520123456788/10/ABC1/21/12345?17=180426");
    assert_eq!(scan.element_string(), "010952012345678810ABC1\u{1d}2112345\u{1d}17180426");
    // Source: DL-07: a plus is literal in the path; in the query it is a space, which no
    // value may hold.
    assert_eq!(read("https://id.gs1.org/01/09506000134352/10/A+B").lot(), Some("A+B"));
    let space = faults("https://id.gs1.org/01/09506000134352?10=A+B");
    assert!(space[0].detail.contains("cannot hold ` `"), "{space:?}");
    // A shorter number is padded; other questions are the resolver's own.
    let scan = read("http://id.gs1.org/01/9506000134352?linkType=all&15=261130#top");
    assert_eq!(scan.gtin(), Some("09506000134352"));
    assert!(Scan::read("https://example.com/about").is_err());
}

#[test]
fn a_digital_link_is_written_with_fixed_lengths_first() {
    // Source: DL-04.
    let scan = read("(01)09506000134352(30)12(17)261231");
    let link = scan.digital_link("https://id.gs1.org");
    assert_eq!(link.as_deref(), Some("https://id.gs1.org/01/09506000134352?17=261231&30=12"));
    assert_eq!(read("(10)L1").digital_link("https://id.gs1.org"), None);
}

#[test]
fn a_fault_names_its_place() {
    let fault = &faults("]C1010950600013435299")[0];
    assert_eq!(fault.position, 19, "an open value of nothing: {fault:?}");
    let fault = &faults("010950600013435205X")[0];
    assert_eq!(fault.position, 16, "{fault:?}");
    assert!(fault.detail.contains("`05X`"), "{fault:?}");
    // Found by random texts: signs of several bytes are no place to cut.
    assert!(Scan::read("01001250^((01)é").is_err());
    assert_eq!(faults("  ")[0].position, 0);
    assert_eq!(faults("(01")[0].position, 0);
    let fault = &faults("https://id.gs1.org/01/09506000134352/10/A%2")[0];
    assert_eq!(fault.position, 41, "{fault:?}");
    // All that can be told is told at once.
    assert_eq!(faults("(01)95012345678902(17)260231").len(), 2);
}

#[test]
fn what_can_be_read_can_be_read_in_its_longer_forms() {
    // Found by the fuzz target: brackets made a long element string too long to be read again.
    let long = format!("{}91ef", "91ef\u{1d}".repeat(SCAN_CHARACTERS_MAX / 5 - 1));
    let scan = read(&long);
    assert!(scan.bracketed().len() > SCAN_CHARACTERS_MAX);
    assert_eq!(read(&scan.bracketed()), scan);
    for longer in [format!("{long}\u{1d}91ef"), scan.bracketed() + "(91)ef", "9".repeat(10_000)] {
        assert_eq!(faults(&longer).len(), 1, "{longer}");
    }
}

#[test]
fn a_fault_of_a_link_names_its_character_and_not_its_byte() {
    // Found by the fuzz target: letters of several bytes stood before the sign.
    for (link, position) in [
        ("https://a.example/01/éé%2", 23),
        ("https://a.example/01/%41%41é%ff", 28),
        ("https://a.example/01/09506000134352?10=éé%zz", 41),
    ] {
        let found = faults(link);
        assert_eq!((found.len(), found[0].position), (1, position), "{link}: {found:?}");
    }
}

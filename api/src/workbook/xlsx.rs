//! Grids as a workbook of sheets (Office Open XML), and back.

use super::{
    COLUMNS_MAX, Grid, ROWS_MAX,
    cell::{NO, YES},
};
use crate::extract::BAKERY_BYTES_MAX;
use calamine::{Data, Reader, Xlsx};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};
use std::io::Cursor;

/// The media type of a workbook.
pub const MEDIA_TYPE: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

/// Most bytes that a workbook may unpack to: a small file can hold a very large one.
const UNPACKED_MAX: u64 = 128 * 1024 * 1024;
/// Most bytes of text in all cells together: a long text that is written once may stand in
/// every cell. A whole bakery document has no more.
const TEXT_BYTES_MAX: usize = BAKERY_BYTES_MAX;
/// Most rows and cells, also empty ones before the last filled one: a cell far out costs all
/// that lie before it.
const PLACES_MAX: usize = 4_000_000;
/// Most sheets: ours has fewer than fifty.
const SHEETS_MAX: usize = 200;

/// Writes grids as sheets. Every cell is a text, so that a spreadsheet turns no code into a
/// date and no exact amount into a float. The same grids give the same bytes.
///
/// # Errors
/// A grid that a workbook cannot hold.
pub fn write(grids: &[Grid]) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    workbook.set_properties(&DocProperties::new().set_creation_datetime(&made));
    let (text, bold) = (Format::new().set_num_format("@"), Format::new().set_bold());
    for grid in grids {
        let sheet = workbook.add_worksheet().set_name(&grid.name)?;
        sheet.set_freeze_panes(1, 1)?;
        for (column, head) in (0..).zip(&grid.head) {
            sheet.write_string_with_format(0, column, head, &bold)?;
            sheet.set_column_format(column, &text)?;
        }
        for (row, cells) in (1..).zip(&grid.rows) {
            for (column, cell) in (0..).zip(cells).filter(|(_, cell)| !cell.is_empty()) {
                sheet.write_string_with_format(row, column, cell, &text)?;
            }
        }
        sheet.autofit();
    }
    workbook.save_to_buffer()
}

/// Reads the sheets of a workbook as grids.
///
/// # Errors
/// Why the bytes are no workbook, in words.
pub fn read(bytes: &[u8]) -> Result<Vec<Grid>, String> {
    let unreadable = |_| "the file cannot be read as a workbook: save it as .xlsx".to_owned();
    bounded(bytes)?;
    let mut workbook: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(unreadable)?;
    let names = workbook.sheet_names();
    if names.len() > SHEETS_MAX {
        return Err(format!("the workbook has more than {SHEETS_MAX} sheets"));
    }
    let mut room = Room { bytes: TEXT_BYTES_MAX, places: PLACES_MAX };
    names.iter().map(|name| sheet(&mut workbook, name, &mut room)).collect()
}

/// What the cells of a workbook may still take.
struct Room {
    bytes: usize,
    places: usize,
}

impl Room {
    fn take(&mut self, bytes: usize, places: usize) -> Result<(), String> {
        let left = self.bytes.checked_sub(bytes).zip(self.places.checked_sub(places));
        (self.bytes, self.places) = left.ok_or_else(|| {
            format!(
                "the workbook holds more than {TEXT_BYTES_MAX} bytes of text or {PLACES_MAX} \
                 cells: send it in parts"
            )
        })?;
        Ok(())
    }
}

/// Unpacks every part to nowhere, so that no part is larger than it should be.
fn bounded(bytes: &[u8]) -> Result<(), String> {
    let unreadable = || "the file is no workbook: save it as .xlsx".to_owned();
    let mut parts = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|_| unreadable())?;
    let mut left = UNPACKED_MAX;
    for at in 0..parts.len() {
        let part = parts.by_index(at).map_err(|_| unreadable())?;
        let mut part = std::io::Read::take(part, left + 1);
        let size = std::io::copy(&mut part, &mut std::io::sink()).map_err(|_| unreadable())?;
        left = left.checked_sub(size).ok_or_else(|| {
            format!("the workbook unpacks to more than {UNPACKED_MAX} bytes: send it in parts")
        })?;
    }
    Ok(())
}

/// One sheet, cell by cell: a cell far out makes no empty rows up to it.
fn sheet(workbook: &mut Xlsx<Cursor<&[u8]>>, name: &str, room: &mut Room) -> Result<Grid, String> {
    let unreadable = || format!("the sheet {name} cannot be read");
    let mut cells = workbook.worksheet_cells_reader(name).map_err(|_| unreadable())?;
    let mut lines: Vec<Vec<String>> = Vec::new();
    while let Some(cell) = cells.next_cell().map_err(|_| unreadable())? {
        let text = text(&Data::from(cell.get_value().clone()));
        let (row, column) = cell.get_position();
        let place = usize::try_from(row).ok().zip(usize::try_from(column).ok());
        if text.is_empty() {
            continue;
        }
        let (row, column) = place
            .filter(|&(row, column)| row <= ROWS_MAX && column < COLUMNS_MAX)
            .ok_or_else(|| {
                format!("the sheet {name} has more than {ROWS_MAX} rows or {COLUMNS_MAX} columns")
            })?;
        let rows = (row + 1).saturating_sub(lines.len());
        let cells = (column + 1).saturating_sub(lines.get(row).map_or(0, Vec::len));
        room.take(text.len(), rows + cells)?;
        if rows > 0 {
            lines.resize(row + 1, Vec::new());
        }
        if cells > 0 {
            lines[row].resize(column + 1, String::new());
        }
        lines[row][column] = text;
    }
    let mut lines = lines.into_iter();
    let head = lines.next().unwrap_or_default();
    Ok(Grid { name: name.to_owned(), head, rows: lines.collect() })
}

/// A cell as the text that a person sees in it; dates and times as we write them.
fn text(cell: &Data) -> String {
    match cell {
        Data::DateTime(moment) => {
            let (year, month, day, hour, minute, ..) = moment.to_ymd_hms_milli();
            let is_time = year < 1900 || (year, month, day) <= (1899, 12, 31);
            if is_time {
                return format!("{hour:02}:{minute:02}");
            }
            format!("{year:04}-{month:02}-{day:02}")
        }
        Data::Bool(flag) => if *flag { YES } else { NO }.to_owned(),
        // A number is written with as few digits as tell it from its neighbours: 68.5, not
        // 68.4999…
        other => other.to_string().trim().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(rows: &[&[&str]]) -> Grid {
        let texts = |row: &&[&str]| row.iter().map(|&cell| cell.to_owned()).collect();
        Grid {
            name: "items".to_owned(),
            head: vec!["code".to_owned(), "name".to_owned()],
            rows: rows.iter().map(texts).collect(),
        }
    }

    #[test]
    fn what_is_written_is_read_again_and_always_the_same() {
        let grids = [grid(&[&["007", "=1+1"], &["rye", "Rye, \"dark\" – ü"]])];
        let bytes = write(&grids).expect("a workbook");
        assert_eq!(read(&bytes).expect("readable"), grids);
        assert_eq!(write(&grids).expect("a workbook"), bytes);
    }

    #[test]
    fn numbers_dates_and_times_that_people_type_become_texts() {
        let mut workbook = Workbook::new();
        let sheet = workbook.add_worksheet();
        let (date, time) =
            (Format::new().set_num_format("yyyy-mm-dd"), Format::new().set_num_format("hh:mm"));
        sheet.write_string(0, 0, "head").expect("fits");
        sheet.write_number(1, 0, 12).expect("fits");
        let day = ExcelDateTime::from_ymd(2026, 6, 12).expect("a date");
        sheet.write_datetime_with_format(2, 0, &day, &date).expect("fits");
        let clock = ExcelDateTime::from_hms(4, 5, 0).expect("a time");
        sheet.write_datetime_with_format(3, 0, &clock, &time).expect("fits");
        sheet.write_boolean(5, 0, true).expect("fits");
        let bytes = workbook.save_to_buffer().expect("a workbook");
        let read = read(&bytes).expect("readable");
        let first: Vec<&str> =
            read[0].rows.iter().map(|row| row.first().map_or("", String::as_str)).collect();
        assert_eq!(first, ["12", "2026-06-12", "04:05", "", "yes"]);
    }

    #[test]
    fn a_small_file_cannot_hold_a_very_large_table() {
        // A text is written once, however many cells show it.
        let mut workbook = Workbook::new();
        let sheet = workbook.add_worksheet();
        let long = "a".repeat(32_000);
        for row in 0..2_000 {
            sheet.write_string(row, 0, &long).expect("fits");
        }
        let bytes = workbook.save_to_buffer().expect("a workbook");
        assert!(bytes.len() < 100_000, "{} bytes", bytes.len());
        assert!(read(&bytes).expect_err("too much text").contains("send it in parts"));
        // Each row is as long as its last filled cell is far out.
        let mut workbook = Workbook::new();
        let sheet = workbook.add_worksheet();
        for row in 0..10_000 {
            sheet.write_string(row, 499, "x").expect("fits");
        }
        let bytes = workbook.save_to_buffer().expect("a workbook");
        assert!(read(&bytes).expect_err("too many cells").contains("send it in parts"));
    }

    #[test]
    fn what_is_no_workbook_says_so() {
        assert!(read(b"code,name\r\n").is_err());
        assert!(read(b"").is_err());
    }
}

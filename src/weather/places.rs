//! Where stations stand, from a table of the user: for files that do not say.

use super::WeatherError;
use super::cells::{header, listed, position, shown, text};
use super::scan;
use crate::place::Place;
use std::path::{Path, PathBuf};

/// Largest table that is read, bytes: a hundred thousand stations take a tenth of that.
const LARGEST: u64 = 64 << 20;

/// One row of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedPlace {
    /// The station's identifier, or its file's name without ending and year.
    pub id: String,
    /// Its name.
    pub name: Option<String>,
    /// Degrees north.
    pub latitude_deg: f64,
    /// Degrees east.
    pub longitude_deg: f64,
    /// Metres above sea level, where listed.
    pub elevation_m: Option<f64>,
}

/// The table, by identifier.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// Sorted by identifier.
    rows: Vec<ListedPlace>,
}

impl Places {
    /// Reads a CSV with the headers id, latitude_deg, longitude_deg and, where wanted, name and elevation_m.
    ///
    /// # Errors
    /// A file that cannot be read, a header that lacks a column, a row that is no place on the earth.
    pub fn read(path: &Path) -> Result<Self, WeatherError> {
        let mut bytes = Vec::new();
        super::source::each_part(path, &mut |mut part| {
            std::io::Read::read_to_end(&mut std::io::Read::take(&mut part.bytes, LARGEST), &mut bytes)
                .map_err(|source| WeatherError::Unreadable { path: path.to_path_buf(), source })?;
            Ok(())
        })?;
        Self::from_bytes(path, &bytes)
    }

    fn from_bytes(path: &Path, bytes: &[u8]) -> Result<Self, WeatherError> {
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let mut lines = (1_u32..).zip(bytes.split(|&byte| byte == b'\n'));
        let names = loop {
            match lines.next() {
                None => return Err(WeatherError::Empty { path: path.to_path_buf() }),
                Some((_, line)) if line.trim_ascii().is_empty() => {}
                Some((_, line)) => break header(line, b','),
            }
        };
        let column = |name: &str| position(&names, name);
        let wanted = |name: &str| {
            column(name)
                .ok_or_else(|| fault(path, 1, format!("no column \"{name}\" among: {}", listed(&names))))
        };
        let (id, latitude, longitude) = (wanted("id")?, wanted("latitude_deg")?, wanted("longitude_deg")?);
        let (name, elevation) = (column("name"), column("elevation_m"));
        let mut rows = Vec::new();
        for (line, row) in lines {
            if row.trim_ascii().is_empty() {
                continue;
            }
            let cells = header(row, b',');
            let cell = |at: usize| cells.get(at).map_or("", String::as_str);
            let number = |at: usize| scan::decimal(cell(at).as_bytes());
            if cell(latitude).is_empty() && cell(longitude).is_empty() {
                // A row that is still to be filled in: its station is told again.
                continue;
            }
            let (Some(latitude_deg), Some(longitude_deg)) = (number(latitude), number(longitude)) else {
                return Err(fault(path, line, format!("\"{}\"", shown(&text(row.trim_ascii())))));
            };
            let elevation_m = elevation.and_then(number);
            let place = Place { latitude_deg, longitude_deg, elevation_m: elevation_m.unwrap_or(0.0) };
            if let Some((key, found)) = place.fault() {
                return Err(fault(path, line, format!("{key} {found}")));
            }
            rows.push(ListedPlace {
                id: cell(id).to_owned(),
                name: name.map(cell).filter(|name| !name.is_empty()).map(str::to_owned),
                latitude_deg,
                longitude_deg,
                elevation_m,
            });
        }
        rows.sort_by(|one, other| one.id.cmp(&other.id));
        Ok(Self { rows })
    }

    /// Whether no row names a place.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The place of a station: by its whole identifier, else by the part before a hyphen ("725300" of "725300-94846").
    #[must_use]
    pub fn of(&self, id: &str) -> Option<&ListedPlace> {
        let exact = |id: &str| {
            self.rows.binary_search_by(|row| row.id.as_str().cmp(id)).ok().and_then(|at| self.rows.get(at))
        };
        exact(id).or_else(|| id.split_once('-').and_then(|(short, _)| exact(short)))
    }
}

fn fault(path: &Path, line: u32, found: String) -> WeatherError {
    WeatherError::PlaceTable { path: PathBuf::from(path), line, found }
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn places_are_found_by_whole_and_by_short_identifier() {
        let table =
            b"id,name,latitude_deg,longitude_deg,elevation_m\n725300,\"Lake, north\",41.995,-87.934,205\n\
            b,,1,2,\nc,,,,\n";
        let places = Places::from_bytes(Path::new("places.csv"), table).unwrap();
        let lake = places.of("725300-94846").unwrap();
        assert_eq!((lake.name.as_deref(), lake.elevation_m), (Some("Lake, north"), Some(205.0)));
        assert_eq!(places.of("b").map(|row| (row.latitude_deg, row.elevation_m)), Some((1.0, None)));
        assert_eq!(places.of("c"), None);
    }

    #[test]
    fn what_is_no_place_is_named_with_its_line() {
        for (table, words) in [
            (&b"id,lat\n"[..], "no column \"latitude_deg\""),
            (b"id,latitude_deg,longitude_deg\na,91,0\n", "latitude_deg 91"),
            (b"id,latitude_deg,longitude_deg\n\na,x,0\n", "line 3"),
            (b"\n", "empty"),
        ] {
            let error = Places::from_bytes(Path::new("places.csv"), table).unwrap_err().to_string();
            assert!(error.contains(words), "{error}");
        }
    }
}

//! Which of these files belong together?

use super::gather::Gather;
use super::open::{As, read};
use super::{Request, Station, WeatherError, source, station};
use std::path::{Path, PathBuf};

/// One text of a file: who measured, in which format, and the file's name without digits.
struct Member {
    station: Station,
    format: &'static str,
    bare_name: String,
}

impl Member {
    /// Files that say nothing of their station are one's where their names differ in digits (years) alone.
    fn is_of(&self, other: &Self) -> bool {
        match (is_nameless(&self.station), is_nameless(&other.station)) {
            (true, true) => self.bare_name == other.bare_name,
            (false, false) => station::alike(&self.station, &other.station, self.format == other.format),
            _ => false,
        }
    }
}

/// Files of one station, as far as they have been met.
struct Group {
    files: Vec<PathBuf>,
    members: Vec<Member>,
    typical_year: bool,
}

/// Sorts files by station: each list can be opened as one record. A typical year stands alone, since it joins
/// nothing. Lists are in the order in which their first file was named.
///
/// Every file is read once for this; files that [`super::open`] takes as one station need no sorting.
///
/// # Errors
///
/// Where a file cannot be read, is of no known format, or holds several stations itself.
pub fn by_station(request: &Request<'_>) -> Result<Vec<Vec<PathBuf>>, WeatherError> {
    let mut groups: Vec<Group> = Vec::new();
    for path in request.files {
        let mut met: Vec<Member> = Vec::new();
        let mut typical_year = false;
        source::each_part(path, &mut |part| {
            let mut gather = Gather::default();
            gather.begin(0);
            let (format, _) = read(part, request, &mut gather, As::Detected)?;
            let declared = gather.end().declared;
            typical_year |= declared.typical_year;
            met.push(Member { station: declared.station, format, bare_name: bare_name(path) });
            Ok(())
        })?;
        let home = groups.iter_mut().find(|group| {
            !typical_year
                && !group.typical_year
                && met.iter().any(|one| group.members.iter().any(|other| one.is_of(other)))
        });
        match home {
            Some(group) => {
                group.files.push(path.clone());
                group.members.append(&mut met);
            }
            None => groups.push(Group { files: vec![path.clone()], members: met, typical_year }),
        }
    }
    Ok(groups.into_iter().map(|group| group.files).collect())
}

/// Whether files that open as one record may still be of several places: they say nothing of their station, and their
/// names differ in more than digits.
#[must_use]
pub fn is_mixture(station: &Station, files: &[PathBuf]) -> bool {
    let mut names = files.iter().map(|file| bare_name(file));
    let first = names.next();
    is_nameless(station) && names.any(|name| Some(name) != first)
}

pub(super) fn is_nameless(station: &Station) -> bool {
    station.id.is_none() && station.name.is_none() && station.latitude_deg.is_none()
}

/// The file's name without folders and digits.
fn bare_name(path: &Path) -> String {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    name.chars().filter(|letter| !letter.is_ascii_digit()).collect()
}

//! Bytes of weather files: from the disk or standard input, plain or packed, always within bounds.

use super::WeatherError;
use flate2::bufread::MultiGzDecoder;
use std::fs::File;
use std::io::{self, ErrorKind, Read};
use std::path::Path;

/// Largest number of unpacked bytes that is read from one file. Chosen because it is fifteen times a wide record
/// of 30 years (256 MB) and bounds what a packed file can unfold to.
pub(super) const FILE_LIMIT: u64 = 4 << 30;

const GZIP: [u8; 2] = [0x1f, 0x8b];

/// Opens `path` ("-" is standard input) and unpacks gzip.
pub(super) fn open(path: &Path) -> Result<Box<dyn Read>, WeatherError> {
    let raw: Box<dyn Read> =
        if path.as_os_str() == "-" { Box::new(io::stdin()) } else { Box::new(file(path)?) };
    let mut raw = raw;
    let mut magic = [0_u8; 4];
    let mut have = 0;
    while have < magic.len() {
        match raw.read(&mut magic[have..]) {
            Ok(0) => break,
            Ok(count) => have += count,
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(source) => return Err(unreadable(path, source)),
        }
    }
    if have == 0 {
        return Err(WeatherError::Empty { path: path.to_path_buf() });
    }
    let whole = io::Cursor::new(magic).take(have as u64).chain(raw);
    Ok(if magic[..have].starts_with(&GZIP) {
        Box::new(MultiGzDecoder::new(io::BufReader::with_capacity(1 << 16, whole)))
    } else {
        Box::new(whole)
    })
}

fn file(path: &Path) -> Result<File, WeatherError> {
    let file = File::open(path).map_err(|source| unreadable(path, source))?;
    match file.metadata() {
        Ok(facts) if facts.is_dir() => Err(WeatherError::Folder { path: path.to_path_buf() }),
        Ok(_) => Ok(file),
        Err(source) => Err(unreadable(path, source)),
    }
}

fn unreadable(path: &Path, source: io::Error) -> WeatherError {
    let path = path.to_path_buf();
    match source.kind() {
        ErrorKind::NotFound => WeatherError::Missing { path },
        ErrorKind::IsADirectory => WeatherError::Folder { path },
        _ => WeatherError::Unreadable { path, source },
    }
}

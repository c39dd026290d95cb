//! Compressed MusicXML: an archive with a table of contents and the score (MusicXML 4.0, "Compressed .MXL files").

use super::tree::{self, MOST_BYTES};
use crate::ExchangeError;
use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::decompress_to_vec_with_limit;
use rawzip::{CompressionMethod, ZipArchive, ZipArchiveWriter};
use std::io::Write;

/// Where the table of contents lies.
const CONTENTS: &str = "META-INF/container.xml";
/// No score comes with more files.
const MOST_FILES: usize = 1000;
/// The largest table of contents.
const CONTENTS_BYTES: usize = 100_000;
/// The media type of MusicXML.
const MEDIA_TYPE: &str = "application/vnd.recordare.musicxml";

/// Whether the bytes begin as an archive does.
pub(crate) fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// The score in an archive.
pub(crate) fn unpack(bytes: &[u8]) -> Result<Vec<u8>, ExchangeError> {
    let contents = entry(bytes, CONTENTS, CONTENTS_BYTES)?
        .ok_or_else(|| ExchangeError::NotCompressed(format!("it has no {CONTENTS}")))?;
    let text = tree::decoded(&contents)?;
    let contents = tree::read(&text, "", |_, _| Ok(())).map_err(|error| match error {
        ExchangeError::BadXml { what, .. } => ExchangeError::BadContents(what),
        other => other,
    })?;
    let files = contents.child("rootfiles").into_iter().flat_map(|files| files.all("rootfile"));
    let is_score =
        |file: &&tree::Element| file.attribute("media-type").is_none_or(|kind| kind.starts_with(MEDIA_TYPE));
    let path = files.filter(is_score).find_map(|file| file.attribute("full-path"));
    let path = path.ok_or_else(|| ExchangeError::BadContents("it names no score".to_owned()))?;
    let score = entry(bytes, path, MOST_BYTES)?;
    score.ok_or_else(|| ExchangeError::NotCompressed(format!("“{path}” is not in it")))
}

/// An archive with a score.
pub(crate) fn pack(score: &[u8]) -> Vec<u8> {
    let contents = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<container><rootfiles><rootfile full-path=\"score.musicxml\" \
         media-type=\"{MEDIA_TYPE}+xml\"/></rootfiles></container>\n"
    );
    let mut out = Vec::new();
    let mut archive = ZipArchiveWriter::new(&mut out);
    let written = add(&mut archive, "mimetype", MEDIA_TYPE.as_bytes(), false)
        .and_then(|()| add(&mut archive, CONTENTS, contents.as_bytes(), true))
        .and_then(|()| add(&mut archive, "score.musicxml", score, true))
        .and_then(|()| archive.finish().map(drop));
    written.expect("a vector takes all bytes");
    out
}

fn add(
    archive: &mut ZipArchiveWriter<&mut Vec<u8>>,
    name: &str,
    bytes: &[u8],
    smaller: bool,
) -> Result<(), rawzip::Error> {
    let method = if smaller { CompressionMethod::DEFLATE } else { CompressionMethod::STORE };
    let (mut entry, config) = archive.new_file(name).compression_method(method).start()?;
    let mut writer = config.wrap(Vec::new());
    writer.write_all(bytes)?;
    let (plain, descriptor) = writer.finish()?;
    entry.write_all(&if smaller { compress_to_vec(&plain, 6) } else { plain })?;
    entry.finish(descriptor).map(drop)
}

/// The bytes of a file of an archive, if it has it, within a limit.
fn entry(bytes: &[u8], name: &str, limit: usize) -> Result<Option<Vec<u8>>, ExchangeError> {
    let bad = |e: rawzip::Error| ExchangeError::NotCompressed(e.to_string());
    let archive = ZipArchive::from_slice(bytes).map_err(bad)?;
    let mut entries = archive.entries();
    let mut seen = 0;
    while let Some(record) = entries.next_entry().map_err(bad)? {
        seen += 1;
        if seen > MOST_FILES {
            return Err(ExchangeError::Refused("there are too many files in it"));
        }
        if record.file_path().as_bytes() != name.as_bytes() {
            continue;
        }
        if record.uncompressed_size_hint() > limit as u64 {
            return Err(ExchangeError::Refused("it unpacks to more than a score"));
        }
        let method = record.compression_method();
        let (wayfinder, crc) = (record.wayfinder(), record.crc32());
        let packed = archive.get_entry(wayfinder).map_err(bad)?;
        let plain = match method {
            CompressionMethod::STORE => packed.data().to_vec(),
            CompressionMethod::DEFLATE => inflated(packed.data(), limit)?,
            _ => return Err(ExchangeError::NotCompressed("it is packed in an unusual way".to_owned())),
        };
        if plain.len() > limit {
            return Err(ExchangeError::Refused("it unpacks to more than a score"));
        }
        if rawzip::crc32(&plain) != crc {
            return Err(ExchangeError::NotCompressed("its check sum is wrong: it is damaged".to_owned()));
        }
        return Ok(Some(plain));
    }
    Ok(None)
}

fn inflated(packed: &[u8], limit: usize) -> Result<Vec<u8>, ExchangeError> {
    use miniz_oxide::inflate::TINFLStatus;
    decompress_to_vec_with_limit(packed, limit).map_err(|error| match error.status {
        TINFLStatus::HasMoreOutput => ExchangeError::Refused("it unpacks to more than a score"),
        _ => ExchangeError::NotCompressed("it is damaged".to_owned()),
    })
}

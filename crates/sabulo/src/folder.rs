//! Files in and files out: a folder is written whole or not at all.

use crate::error::Failure;
use std::fs;
use std::path::{Path, PathBuf};

/// Largest file that is read.
const MEGABYTES_MAX: u64 = 256;

/// A file's bytes.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let fault = |fault| Failure::Read { path: path.to_owned(), fault };
    let megabytes = fs::metadata(path).map_err(fault)?.len() >> 20;
    if megabytes > MEGABYTES_MAX {
        return Err(Failure::TooLarge { path: path.to_owned(), megabytes, most: MEGABYTES_MAX });
    }
    fs::read(path).map_err(fault)
}

/// A file's text.
pub(crate) fn read_text(path: &Path) -> Result<String, Failure> {
    String::from_utf8(read(path)?).map_err(|_| Failure::NotText { path: path.to_owned() })
}

/// Writes files into a folder, which is made when it is not there.
///
/// Each is written under another name first and then renamed, so that a reader never finds half a file,
/// and nothing is renamed before all are written.
pub(crate) fn write_all(folder: &Path, files: &[(String, &[u8])]) -> Result<(), Failure> {
    let fault = |path: &Path| {
        let path = path.to_owned();
        move |fault| Failure::Write { path, fault }
    };
    fs::create_dir_all(folder).map_err(fault(folder))?;
    let mut written: Vec<(PathBuf, PathBuf)> = Vec::new();
    let all = files.iter().try_for_each(|(name, bytes)| {
        let (part, path) = (folder.join(format!(".{name}.part")), folder.join(name));
        let done = fs::write(&part, bytes).map_err(fault(&path));
        written.push((part, path));
        done
    });
    if let Err(failure) = all {
        for (part, _) in &written {
            // Best effort: the first failure is the one to tell.
            let _ = fs::remove_file(part);
        }
        return Err(failure);
    }
    written.iter().try_for_each(|(part, path)| fs::rename(part, path).map_err(fault(path)))
}

/// Writes one file, whole or not at all.
pub(crate) fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
    let name = name.ok_or_else(|| Failure::NoFileName { path: path.to_owned() })?;
    write_all(folder, &[(name, bytes)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_written_and_read_back_and_no_part_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path().join("new");
        write_all(&at, &[("a.txt".into(), b"one"), ("b.txt".into(), b"two")]).unwrap();
        assert_eq!(read_text(&at.join("b.txt")).unwrap(), "two");
        assert_eq!(fs::read_dir(&at).unwrap().count(), 2);
    }

    #[test]
    fn a_folder_that_cannot_be_made_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        fs::write(&file, b"").unwrap();
        let words = write_all(&file.join("under"), &[]).unwrap_err().to_string();
        assert!(words.contains("file") && words.contains("--out"), "{words}");
    }
}

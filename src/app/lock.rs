//! A lock file, held while a window lives, so that two programs never take each other's files for left behind.

use std::{
    fs::{File, TryLockError},
    io,
    path::Path,
};

/// A lock that is held for as long as this lives.
#[derive(Debug)]
pub(super) struct Lock {
    /// None on a file system without locks; what it guards is used all the same.
    _file: Option<File>,
}

impl Lock {
    /// Takes the lock of this file, which is made if need be; none where another window holds it.
    pub fn take(path: &Path) -> io::Result<Option<Self>> {
        let file = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(path)?;
        match file.try_lock() {
            Ok(()) => Ok(Some(Self { _file: Some(file) })),
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(_)) => Ok(Some(Self { _file: None })),
        }
    }
}

//! Passwords: argon2id, off the async threads, a few at a time, and as slow for unknown names as for known.

use std::sync::Arc;

use argon2::{Argon2, PasswordHasher as _, PasswordVerifier as _, password_hash::phc};
use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;

/// Each check holds 19 MiB while it runs.
const AT_A_TIME: usize = 4;

/// Shortest password that is taken.
pub const SHORTEST: usize = 12;

/// Hashing failed, or a kept hash doesn't read.
#[derive(Debug, thiserror::Error)]
#[error("a password could not be handled: {0}")]
pub struct PasswordError(String);

/// Hashes and checks passwords.
pub struct Passwords {
    places: Arc<Semaphore>,
    of_nobody: String,
}

impl Passwords {
    /// Prepares the hash that an unknown name is checked against.
    pub async fn new() -> Result<Self, PasswordError> {
        let of_nobody = blocking(|| hash("the password of nobody")).await?;
        Ok(Self { places: Arc::new(Semaphore::new(AT_A_TIME)), of_nobody })
    }

    /// The hash to keep for a password.
    pub async fn hash(&self, password: String) -> Result<String, PasswordError> {
        let _place = self.place().await?;
        blocking(move || hash(&password)).await
    }

    /// Whether a password is the one behind a kept hash; `None` (nobody of that name) takes as long and is false.
    pub async fn check(&self, password: String, kept: Option<String>) -> Result<bool, PasswordError> {
        let _place = self.place().await?;
        let known = kept.is_some();
        let against = kept.unwrap_or_else(|| self.of_nobody.clone());
        let matches = blocking(move || {
            let parsed = phc::PasswordHash::new(&against).map_err(|e| PasswordError(e.to_string()))?;
            Ok(Argon2::default().verify_password(password.as_bytes(), &parsed).is_ok())
        })
        .await?;
        Ok(matches && known)
    }

    async fn place(&self) -> Result<tokio::sync::SemaphorePermit<'_>, PasswordError> {
        self.places.acquire().await.map_err(|e| PasswordError(e.to_string()))
    }
}

/// argon2id with 19 MiB, two passes, one lane: the library's default and OWASP's first recommendation.
fn hash(password: &str) -> Result<String, PasswordError> {
    let hash: phc::PasswordHash =
        Argon2::default().hash_password(password.as_bytes()).map_err(|e| PasswordError(e.to_string()))?;
    Ok(hash.to_string())
}

async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, PasswordError> + Send + 'static,
) -> Result<T, PasswordError> {
    spawn_blocking(work).await.map_err(|e| PasswordError(e.to_string()))?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn only_the_right_password_of_a_known_name_is_taken() {
        let passwords = Passwords::new().await.unwrap();
        let kept = passwords.hash("seven dry karabiners".into()).await.unwrap();
        assert!(kept.starts_with("$argon2id$"), "{kept}");
        assert!(passwords.check("seven dry karabiners".into(), Some(kept.clone())).await.unwrap());
        assert!(!passwords.check("seven wet karabiners".into(), Some(kept)).await.unwrap());
        assert!(!passwords.check("the password of nobody".into(), None).await.unwrap());
    }
}

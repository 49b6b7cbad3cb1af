//! Passwords: argon2id, off the async threads, a few at a time, and as slow for unknown names as for known.

use std::sync::Arc;

use argon2::{Argon2, PasswordHasher as _, PasswordVerifier as _, password_hash::phc};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
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
        let places = Arc::new(Semaphore::new(AT_A_TIME));
        let of_nobody = blocking(place(&places).await?, || hash("the password of nobody")).await?;
        Ok(Self { places, of_nobody })
    }

    /// The hash to keep for a password.
    pub async fn hash(&self, password: String) -> Result<String, PasswordError> {
        blocking(place(&self.places).await?, move || hash(&password)).await
    }

    /// Whether a password is the one behind a kept hash; `None` (nobody of that name) takes as long and is false.
    pub async fn check(&self, password: String, kept: Option<String>) -> Result<bool, PasswordError> {
        let place = place(&self.places).await?;
        let known = kept.is_some();
        let against = kept.unwrap_or_else(|| self.of_nobody.clone());
        let matches = blocking(place, move || {
            let parsed = phc::PasswordHash::new(&against).map_err(|e| PasswordError(e.to_string()))?;
            Ok(Argon2::default().verify_password(password.as_bytes(), &parsed).is_ok())
        })
        .await?;
        Ok(matches && known)
    }
}

async fn place(places: &Arc<Semaphore>) -> Result<OwnedSemaphorePermit, PasswordError> {
    places.clone().acquire_owned().await.map_err(|e| PasswordError(e.to_string()))
}

/// argon2id with 19 MiB, two passes, one lane: the library's default and OWASP's first recommendation.
fn hash(password: &str) -> Result<String, PasswordError> {
    let hash: phc::PasswordHash =
        Argon2::default().hash_password(password.as_bytes()).map_err(|e| PasswordError(e.to_string()))?;
    Ok(hash.to_string())
}

/// The work keeps its place until it is done: it runs on when the request that asked for it is gone.
async fn blocking<T: Send + 'static>(
    place: OwnedSemaphorePermit,
    work: impl FnOnce() -> Result<T, PasswordError> + Send + 'static,
) -> Result<T, PasswordError> {
    let in_place = move || {
        let _place = place;
        work()
    };
    spawn_blocking(in_place).await.map_err(|e| PasswordError(e.to_string()))?
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

    #[tokio::test]
    async fn work_whose_request_is_gone_keeps_its_place_until_it_is_done() {
        let places = Arc::new(Semaphore::new(1));
        let (finish, finished) = std::sync::mpsc::channel::<()>();
        let held = place(&places).await.unwrap();
        let request =
            tokio::spawn(blocking(held, move || finished.recv().map_err(|e| PasswordError(e.to_string()))));
        tokio::task::yield_now().await;
        request.abort();
        assert!(request.await.unwrap_err().is_cancelled());
        assert_eq!(places.available_permits(), 0);
        finish.send(()).unwrap();
        drop(place(&places).await.unwrap());
    }
}

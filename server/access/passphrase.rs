//! Passphrases: what will do, and how they are kept (argon2id, RFC 9106).

use crate::error::PageError;
use argon2::{
    Algorithm, Argon2, Params, Version,
    password_hash::{PasswordHash, PasswordHasher as _, PasswordVerifier as _, SaltString},
};
use std::sync::{Arc, LazyLock};
use tokio::sync::Semaphore;
use unicode_normalization::UnicodeNormalization as _;

/// Fewest characters of a passphrase.
pub const SHORTEST: usize = 10;
/// Most characters of a passphrase: more than anybody types.
pub const LONGEST: usize = 200;

/// 19 MiB, two passes, one lane: OWASP's least for argon2id, about 20 ms on a stage laptop.
const MEMORY_KIB: u32 = 19 * 1024;
const PASSES: u32 = 2;
const LANES: u32 = 1;
/// How many are worked out at once, so that a crowd at the door cannot take all the memory.
const AT_ONCE: usize = 2;

/// What an unknown name is compared with, so that it takes as long as a known one.
static NOBODYS: LazyLock<String> =
    LazyLock::new(|| work_out("nobody signs in with this").unwrap_or_default());

/// Why a passphrase will not do; `None` when it will.
pub fn fault(passphrase: &str) -> Option<String> {
    match passphrase.chars().count() {
        n if n < SHORTEST => Some(format!(
            "A passphrase has at least {SHORTEST} characters; this one has {n}. Four words that do not belong together are easy to keep."
        )),
        n if n > LONGEST => Some(format!(
            "A passphrase has at most {LONGEST} characters; this one has {n}."
        )),
        _ => None,
    }
}

/// The place where passphrases are worked out, away from the threads that answer.
#[derive(Debug)]
pub struct Bench(Arc<Semaphore>);

impl Default for Bench {
    fn default() -> Self {
        Self(Arc::new(Semaphore::new(AT_ONCE)))
    }
}

impl Bench {
    /// The hash that is kept of a passphrase.
    ///
    /// # Errors
    /// The machine has no memory for it.
    pub async fn hash(&self, passphrase: String) -> Result<String, PageError> {
        self.work(move || work_out(&passphrase)).await?
    }

    /// Whether a passphrase belongs to a hash. Without one it takes as long and is never right.
    ///
    /// # Errors
    /// The machine has no memory for it.
    pub async fn is_right(
        &self,
        passphrase: String,
        hash: Option<String>,
    ) -> Result<bool, PageError> {
        self.work(move || {
            let nobodys = &*NOBODYS;
            let kept = hash.as_deref().unwrap_or(nobodys);
            let right = PasswordHash::new(kept).is_ok_and(|kept| {
                argon2()
                    .verify_password(normal(&passphrase).as_bytes(), &kept)
                    .is_ok()
            });
            right && hash.is_some()
        })
        .await
    }

    async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, PageError> {
        let turn = self.0.clone().acquire_owned().await;
        tokio::task::spawn_blocking(move || {
            let _turn = turn;
            work()
        })
        .await
        .map_err(|error| PageError::Internal(error.to_string()))
    }
}

fn argon2() -> Argon2<'static> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).expect("these are within its range");
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

/// One spelling for what keyboards send in several (RFC 8265 §4.2 asks for it).
fn normal(passphrase: &str) -> String {
    passphrase.nfc().collect()
}

fn work_out(passphrase: &str) -> Result<String, PageError> {
    let failed = |error: &dyn std::fmt::Display| PageError::Internal(error.to_string());
    let mut salt = [0_u8; 16];
    getrandom::fill(&mut salt).map_err(|e| failed(&e))?;
    let salt = SaltString::encode_b64(&salt).map_err(|e| failed(&e))?;
    let hash = argon2()
        .hash_password(normal(passphrase).as_bytes(), &salt)
        .map_err(|e| failed(&e))?;
    Ok(hash.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_passphrase_belongs_to_its_hash_alone() {
        let bench = Bench::default();
        let hash = bench.hash("wet slate, dry dock".into()).await.unwrap();
        assert!(
            hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{hash}"
        );
        let again = bench.hash("wet slate, dry dock".into()).await.unwrap();
        assert_ne!(hash, again, "each has its own salt");
        for (typed, right) in [
            ("wet slate, dry dock", true),
            ("Wet slate, dry dock", false),
            ("", false),
        ] {
            let kept = Some(hash.clone());
            assert_eq!(bench.is_right(typed.into(), kept).await.unwrap(), right);
        }
    }

    #[tokio::test]
    async fn nobodys_passphrase_is_never_right() {
        let bench = Bench::default();
        for typed in ["nobody signs in with this", ""] {
            assert!(!bench.is_right(typed.into(), None).await.unwrap());
        }
    }

    #[tokio::test]
    async fn accents_match_from_any_keyboard() {
        let bench = Bench::default();
        let hash = bench.hash("la lumi\u{e8}re froide".into()).await.unwrap();
        let typed = "la lumie\u{300}re froide".into();
        assert!(bench.is_right(typed, Some(hash)).await.unwrap());
    }

    #[test]
    fn length_is_counted_in_characters_and_said() {
        assert_eq!(fault("äöüäöüäöüä"), None);
        let short = fault("äöü").unwrap();
        assert!(
            short.contains("at least 10") && short.contains("has 3"),
            "{short}"
        );
        assert!(fault(&"x".repeat(201)).unwrap().contains("at most 200"));
    }
}

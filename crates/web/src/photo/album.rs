//! Where photographs are kept: in a folder, or in a store of objects. Each has the name of its digest, so that one picture is
//! kept once however often it is sent, and what is there is never written over by another.

use std::path::{Path as FilePath, PathBuf};
use std::sync::Arc;

use bytes::Bytes;
use object_store::aws::AmazonS3Builder;
use object_store::local::LocalFileSystem;
use object_store::path::Path;
use object_store::{Error as ObjectError, ObjectStore, ObjectStoreExt as _};
use store::NewPhoto;
use tokio::sync::Semaphore;

use super::develop::{NotAPhoto, Photo, develop};
use crate::config::BucketConfig;
use crate::error::AppError;
use crate::secrets::digest_hex;

/// A failure that stops the start, in words that name the setting.
type Unusable = Box<dyn std::error::Error + Send + Sync>;

/// Pictures developed at once: each may hold some 200 MB while it is, and takes a processor whole.
const AT_A_TIME: usize = 2;

/// Every photograph, in two sizes.
pub struct Album {
    /// Places where pictures are developed, whatever way they came.
    places: Arc<Semaphore>,
    objects: Arc<dyn ObjectStore>,
    /// The folder, where they are kept in one: its files are flushed to the disk before a report is acknowledged.
    folder: Option<PathBuf>,
}

/// How large a photograph is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// As it was kept.
    Whole,
    /// For a list.
    Small,
}

impl Album {
    /// In a folder, which is made where it is missing.
    ///
    /// # Errors
    /// The folder can't be made or written.
    pub fn in_folder(folder: PathBuf) -> Result<Self, Unusable> {
        let fault = |error: &dyn std::fmt::Display| format!("{}: {error}", folder.display());
        std::fs::create_dir_all(&folder).map_err(|error| fault(&error))?;
        let objects = LocalFileSystem::new_with_prefix(&folder).map_err(|error| fault(&error))?;
        Ok(Self::of(objects, Some(folder)))
    }

    /// In a bucket of a store that speaks S3.
    ///
    /// # Errors
    /// Settings that don't go together.
    pub fn in_bucket(bucket: &BucketConfig) -> Result<Self, Unusable> {
        // One maker of TLS keys for the whole program; that it is chosen already is no fault.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let objects = AmazonS3Builder::new()
            .with_endpoint(&bucket.endpoint)
            .with_bucket_name(&bucket.name)
            .with_region(&bucket.region)
            .with_access_key_id(&bucket.key_id)
            .with_secret_access_key(&bucket.secret)
            .with_allow_http(bucket.endpoint.starts_with("http://"))
            .build()
            .map_err(|error| format!("BARTACK_PHOTO_BUCKET: {error}"))?;
        Ok(Self::of(objects, None))
    }

    fn of(objects: impl ObjectStore, folder: Option<PathBuf>) -> Self {
        Self { places: Arc::new(Semaphore::new(AT_A_TIME)), objects: Arc::new(objects), folder }
    }

    /// Makes a picture fit to be kept, off the async threads and when it is its turn. What makes the decoder give up
    /// altogether is the picture's fault.
    ///
    /// # Errors
    /// The program is ending; within it, why the bytes are not taken.
    pub async fn develop<B>(&self, bytes: B) -> Result<Result<Photo, NotAPhoto>, AppError>
    where
        B: AsRef<[u8]> + Send + 'static,
    {
        let place = Arc::clone(&self.places).acquire_owned().await.map_err(AppError::inside)?;
        let developed = tokio::task::spawn_blocking(move || {
            let developed = develop(bytes.as_ref());
            // Held to the end of the work, and given back after the bytes: who sent the picture may long be gone.
            drop(bytes);
            drop(place);
            developed
        });
        match developed.await {
            Ok(developed) => Ok(developed),
            Err(error) if error.is_panic() => Ok(Err(NotAPhoto::Damaged)),
            Err(error) => Err(AppError::inside(error)),
        }
    }

    /// Takes every place where pictures are developed, for a test.
    #[cfg(test)]
    pub(crate) async fn take_all_places(&self) -> tokio::sync::OwnedSemaphorePermit {
        let all = u32::try_from(AT_A_TIME).expect("few");
        Arc::clone(&self.places).acquire_many_owned(all).await.expect("open")
    }

    /// Keeps pictures, each once, and gives what the books know of them.
    ///
    /// # Errors
    /// The folder or the store of objects doesn't take them.
    pub async fn keep(&self, photos: &[Photo]) -> Result<Vec<NewPhoto>, AppError> {
        let mut kept = Vec::with_capacity(photos.len());
        for photo in photos {
            let sha256 = digest_hex(&photo.jpeg);
            self.put(&sha256, Size::Small, photo.small.clone()).await?;
            self.put(&sha256, Size::Whole, photo.jpeg.clone()).await?;
            let (width, height) = (photo.width, photo.height);
            kept.push(NewPhoto { sha256, media_type: "image/jpeg".to_owned(), width, height });
        }
        Ok(kept)
    }

    /// What is there is written again where its size differs, and flushed in any case: a power cut may have come between
    /// writing and flushing it.
    async fn put(&self, sha256: &str, size: Size, jpeg: Vec<u8>) -> Result<(), AppError> {
        let name = name(sha256, size);
        let there = self.objects.head(&name).await;
        if !there.is_ok_and(|there| there.size == jpeg.len() as u64) {
            self.objects.put(&name, jpeg.into()).await.map_err(AppError::inside)?;
        }
        if let Some(folder) = &self.folder {
            let file = folder.join(name.as_ref());
            let flushed =
                tokio::task::spawn_blocking(move || flush(&file)).await.map_err(AppError::inside)?;
            flushed.map_err(AppError::inside)?;
        }
        Ok(())
    }

    /// A picture by its digest; nothing where it isn't there.
    ///
    /// # Errors
    /// The folder or the store of objects can't be read.
    pub async fn find(&self, sha256: &str, size: Size) -> Result<Option<Bytes>, AppError> {
        match self.objects.get(&name(sha256, size)).await {
            Ok(found) => Ok(Some(found.bytes().await.map_err(AppError::inside)?)),
            Err(ObjectError::NotFound { .. }) => Ok(None),
            Err(error) => Err(AppError::inside(error)),
        }
    }
}

/// `ab/abcd....jpg`: no folder gets too long a list.
fn name(sha256: &str, size: Size) -> Path {
    let end = if size == Size::Small { ".small.jpg" } else { ".jpg" };
    Path::from_iter([&sha256[..2.min(sha256.len())], &format!("{sha256}{end}")])
}

/// The file and its folder's entry for it, on the disk.
fn flush(file: &FilePath) -> std::io::Result<()> {
    std::fs::File::open(file)?.sync_all()?;
    file.parent().map_or(Ok(()), |folder| std::fs::File::open(folder)?.sync_all())
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::sync::{Barrier, Mutex};

    use axum::Router;
    use axum::body::Bytes as Body;
    use axum::extract::{Path as At, State};
    use axum::http::{HeaderMap, StatusCode};
    use axum::routing::get;

    use super::*;

    fn photo() -> Photo {
        Photo { jpeg: vec![0xFF, 0xD8, 1], small: vec![0xFF, 0xD8, 2], width: 40, height: 20 }
    }

    async fn is_kept_once_and_found(album: &Album) -> String {
        let kept = album.keep(&[photo(), photo()]).await.expect("kept");
        assert_eq!(kept[0], kept[1]);
        let sha256 = &kept[0].sha256;
        let found = |size| album.find(sha256, size);
        assert_eq!(found(Size::Whole).await.expect("read").expect("there")[..], photo().jpeg);
        assert_eq!(found(Size::Small).await.expect("read").expect("there")[..], photo().small);
        assert!(album.find(&"0".repeat(64), Size::Whole).await.expect("read").is_none());
        sha256.clone()
    }

    #[tokio::test]
    async fn a_folder_keeps_each_picture_once_under_its_digest() {
        let folder = tempfile::tempdir().expect("a folder");
        let album = Album::in_folder(folder.path().join("photos")).expect("an album");
        let sha256 = is_kept_once_and_found(&album).await;
        let files: Vec<_> =
            std::fs::read_dir(folder.path().join("photos").join(&sha256[..2])).expect("read").collect();
        assert_eq!(files.len(), 2, "both sizes, and nothing half-written");
        for file in files {
            std::fs::write(file.expect("read").path(), b"").expect("cut short");
        }
        is_kept_once_and_found(&album).await;
        assert!(album.find("../../secret", Size::Whole).await.expect("read").is_none());
    }

    /// Bytes that are no picture, and are read only when somebody else reads such bytes too.
    struct InPairs {
        inside: Arc<AtomicUsize>,
        most: Arc<AtomicUsize>,
        pair: Arc<Barrier>,
    }

    impl AsRef<[u8]> for InPairs {
        fn as_ref(&self) -> &[u8] {
            self.most.fetch_max(self.inside.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
            self.pair.wait();
            b"no picture"
        }
    }

    impl Drop for InPairs {
        fn drop(&mut self) {
            self.inside.fetch_sub(1, Ordering::SeqCst);
        }
    }

    #[tokio::test]
    async fn two_pictures_are_developed_at_once_and_no_more_even_if_nobody_waits_for_them() {
        let folder = tempfile::tempdir().expect("a folder");
        let album = Album::in_folder(folder.path().join("photos")).expect("an album");
        let (inside, most, pair) =
            (Arc::<AtomicUsize>::default(), Arc::<AtomicUsize>::default(), Arc::new(Barrier::new(2)));
        let one = || {
            let bytes =
                InPairs { inside: Arc::clone(&inside), most: Arc::clone(&most), pair: Arc::clone(&pair) };
            album.develop(bytes)
        };
        {
            // The first is begun and given up by who sent it; its place is not free before its work is done.
            let mut given_up = Box::pin(one());
            std::future::poll_fn(|context| {
                let _ = given_up.as_mut().poll(context);
                std::task::Poll::Ready(())
            })
            .await;
        }
        let (b, c, d) = tokio::join!(one(), one(), one());
        for done in [b, c, d] {
            assert_eq!(done.expect("its turn").unwrap_err(), NotAPhoto::OtherKind);
        }
        assert_eq!(most.load(Ordering::SeqCst), 2);
    }

    /// As much of an S3 service as keeping and reading objects asks for (Amazon S3 API reference: `PutObject`, `GetObject`,
    /// `HeadObject`), refusing what isn't signed.
    type Objects = Arc<Mutex<HashMap<String, Body>>>;

    async fn put_object(
        State(objects): State<Objects>,
        At(name): At<String>,
        headers: HeaderMap,
        body: Body,
    ) -> Result<[(&'static str, &'static str); 1], StatusCode> {
        let signed = headers.get("authorization").and_then(|value| value.to_str().ok()).unwrap_or_default();
        if !signed.starts_with("AWS4-HMAC-SHA256 Credential=rescue/") {
            return Err(StatusCode::FORBIDDEN);
        }
        objects.lock().expect("a lock").insert(name, body);
        Ok([("etag", "\"1\"")])
    }

    async fn get_object(
        State(objects): State<Objects>,
        At(name): At<String>,
    ) -> Result<([(&'static str, &'static str); 2], Body), StatusCode> {
        let found = objects.lock().expect("a lock").get(&name).cloned().ok_or(StatusCode::NOT_FOUND)?;
        Ok(([("etag", "\"1\""), ("last-modified", "Tue, 03 Mar 2026 12:00:00 GMT")], found))
    }

    #[tokio::test]
    async fn a_bucket_keeps_each_picture_once_under_its_digest() {
        let objects = Objects::default();
        let service = Router::new()
            .route("/bucket/{*name}", get(get_object).put(put_object))
            .with_state(Arc::clone(&objects));
        let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let endpoint = format!("http://{}", listener.local_addr().expect("an address"));
        tokio::spawn(async move { axum::serve(listener, service).await });
        let bucket = |key_id: &str| BucketConfig {
            endpoint: endpoint.clone(),
            name: "bucket".into(),
            region: "north-1".into(),
            key_id: key_id.into(),
            secret: "hush".into(),
        };
        let sha256 = is_kept_once_and_found(&Album::in_bucket(&bucket("rescue")).expect("an album")).await;
        let kept = objects.lock().expect("a lock").len();
        assert_eq!(kept, 2, "of {sha256} both sizes");
        let stranger = Album::in_bucket(&bucket("stranger")).expect("an album");
        let other = Photo { jpeg: vec![0xFF, 0xD8, 9], ..photo() };
        assert!(stranger.keep(&[other]).await.is_err(), "what the service refuses is no success");
    }
}

// Makes photographs small enough for a narrow line before they are kept and sent.
self.photographs = (() => {
  // A photograph of this size takes 24 seconds at 100 kbit/s, which leaves room for the rest within a minute.
  const MOST_BYTES = 300_000;
  const LONGEST_SIDE = 1_600;

  async function smaller(file) {
    if (file.size <= MOST_BYTES && file.type === "image/jpeg") return file;
    const picture = await createImageBitmap(file);
    let side = Math.min(LONGEST_SIDE, Math.max(picture.width, picture.height));
    for (let quality = 0.8; ; quality -= 0.15) {
      if (quality < 0.4) [side, quality] = [side * 0.75, 0.7];
      const scale = side / Math.max(picture.width, picture.height);
      const canvas = Object.assign(document.createElement("canvas"), {
        width: Math.max(1, Math.round(picture.width * scale)),
        height: Math.max(1, Math.round(picture.height * scale)),
      });
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
      if (blob.size <= MOST_BYTES) return new File([blob], "photo.jpg", { type: "image/jpeg" });
    }
  }

  // One that can't be opened here is left as it is: the server says what it needs.
  const madeSmall = (files) => Promise.all(files.map((file) => smaller(file).catch(() => file)));

  return { madeSmall };
})();

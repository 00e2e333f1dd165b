/** Reads a QR code from the camera: with the browser's own reader, or with one that is loaded. */

type Read = (video: HTMLVideoElement) => Promise<string | null>

interface Detector {
  detect(source: HTMLVideoElement): Promise<{ rawValue: string }[]>
}
type DetectorMaker = new (options: { formats: string[] }) => Detector

export async function reader(): Promise<Read> {
  const Own = (globalThis as { BarcodeDetector?: DetectorMaker }).BarcodeDetector
  if (Own) {
    const detector = new Own({ formats: ['qr_code'] })
    return async (video) => (await detector.detect(video))[0]?.rawValue ?? null
  }
  const { default: decode } = await import('qr/decode.js')
  const canvas = document.createElement('canvas')
  const pen = canvas.getContext('2d', { willReadFrequently: true })
  return (video) => {
    canvas.width = video.videoWidth
    canvas.height = video.videoHeight
    if (!pen || canvas.width === 0) return Promise.resolve(null)
    pen.drawImage(video, 0, 0)
    try {
      return Promise.resolve(decode(pen.getImageData(0, 0, canvas.width, canvas.height)))
    } catch {
      // No square in this picture.
      return Promise.resolve(null)
    }
  }
}

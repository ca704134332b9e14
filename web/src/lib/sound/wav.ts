/** WAV files as far as the page needs them: what a header says, one channel as numbers, and numbers as a file. */

/** What is said of a file that is no sound we can take. */
export class NotASound extends Error {}

/** The sampling rate in Hz that a WAV file states. */
export function rateOfWav(bytes: ArrayBuffer, name: string): number {
  const view = new DataView(bytes)
  const word = (at: number) =>
    at + 4 <= bytes.byteLength ? String.fromCharCode(...new Uint8Array(bytes, at, 4)) : ''
  if (word(0) !== 'RIFF' || word(8) !== 'WAVE')
    throw new NotASound(`${name} is no WAV file: it does not begin with RIFF and WAVE. Save it as WAV (PCM).`)
  for (let at = 12; at + 8 <= bytes.byteLength;) {
    const size = view.getUint32(at + 4, true)
    if (word(at) === 'fmt ' && at + 16 <= bytes.byteLength) return view.getUint32(at + 12, true)
    at += 8 + size + (size % 2)
  }
  throw new NotASound(`${name} does not say how it is sampled; it may have been cut off. Save it again.`)
}

/** The first channel of a WAV file at the rate that it states, full scale 1. */
export async function samplesOfWav(
  bytes: ArrayBuffer,
  name: string,
): Promise<{ rateHz: number; samples: Float32Array }> {
  const rateHz = rateOfWav(bytes, name)
  try {
    const decoded = await new OfflineAudioContext(1, 1, rateHz).decodeAudioData(bytes.slice(0))
    return { rateHz, samples: decoded.getChannelData(0) }
  } catch {
    throw new NotASound(
      `${name} can not be read by this browser. Save it as WAV (PCM, 16 bits, 8 to 96 kHz).`,
    )
  }
}

/** A WAV file of 16 bits with one channel; samples beyond full scale are cut to it. */
export function wavOf(samples: Float32Array, rateHz: number): Blob {
  const bytes = new ArrayBuffer(44 + 2 * samples.length)
  const view = new DataView(bytes)
  const word = (at: number, text: string) =>
    [...text].forEach((c, i) => view.setUint8(at + i, c.charCodeAt(0)))
  word(0, 'RIFF')
  view.setUint32(4, 36 + 2 * samples.length, true)
  word(8, 'WAVEfmt ')
  view.setUint32(16, 16, true)
  view.setUint16(20, 1, true) // PCM
  view.setUint16(22, 1, true) // one channel
  view.setUint32(24, rateHz, true)
  view.setUint32(28, 2 * rateHz, true)
  view.setUint16(32, 2, true)
  view.setUint16(34, 16, true)
  word(36, 'data')
  view.setUint32(40, 2 * samples.length, true)
  samples.forEach((v, i) => view.setInt16(44 + 2 * i, Math.round(32767 * Math.max(-1, Math.min(1, v))), true))
  return new Blob([bytes], { type: 'audio/wav' })
}

import { describe, expect, it } from 'vitest'
import { NotASound, rateOfWav, wavOf } from './wav'

const bytesOf = (blob: Blob) =>
  new Promise<ArrayBuffer>((done) => {
    const reader = new FileReader()
    reader.onload = () => done(reader.result as ArrayBuffer)
    reader.readAsArrayBuffer(blob)
  })

describe('WAV files', () => {
  it('state the rate that they were written with, and hold the samples', async () => {
    const bytes = await bytesOf(wavOf(new Float32Array([0, 1, -1, 2, 0.5]), 44100))
    expect(rateOfWav(bytes, 'a.wav')).toBe(44100)
    expect([...new Int16Array(bytes.slice(44))]).toEqual([0, 32767, -32767, 32767, 16384])
    expect(new DataView(bytes).getUint32(4, true)).toBe(bytes.byteLength - 8)
  })
  it('may have other chunks before the format, of odd length too', async () => {
    const bytes = new Uint8Array(await bytesOf(wavOf(new Float32Array(3), 8000)))
    const extra = [...'LIST'].map((c) => c.charCodeAt(0)).concat([3, 0, 0, 0, 1, 2, 3, 0])
    const longer = new Uint8Array([...bytes.slice(0, 12), ...extra, ...bytes.slice(12)])
    expect(rateOfWav(longer.buffer, 'a.wav')).toBe(8000)
  })
  it.each([
    ['nothing', []],
    ['a text', [...'hello there, this is text'].map((c) => c.charCodeAt(0))],
    ['a header alone', [...'RIFF0000WAVE'].map((c) => c.charCodeAt(0))],
    ['a broken format', [...'RIFF0000WAVEfmt 0000'].map((c) => c.charCodeAt(0))],
  ])('that are none are told by name: %s', (_, list) => {
    const told = () => rateOfWav(new Uint8Array(list).buffer, 'b.wav')
    expect(told).toThrow(NotASound)
    expect(told).toThrow(/^b\.wav /)
  })
})

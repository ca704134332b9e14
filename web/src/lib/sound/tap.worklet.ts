/** Runs beside the sound card: hands the first channel on in blocks of 512 samples, some 11 ms at 48 kHz. */
declare class AudioWorkletProcessor {
  readonly port: MessagePort
}
declare function registerProcessor(name: string, processor: new () => AudioWorkletProcessor): void

const BLOCK = 512

class Tap extends AudioWorkletProcessor {
  private block = new Float32Array(BLOCK)
  private filled = 0

  process(inputs: Float32Array[][]): boolean {
    for (const v of inputs[0]?.[0] ?? []) {
      this.block[this.filled++] = v
      if (this.filled === BLOCK) {
        this.port.postMessage(this.block, [this.block.buffer])
        this.block = new Float32Array(BLOCK)
        this.filled = 0
      }
    }
    return true
  }
}
registerProcessor('holdfast-tap', Tap)

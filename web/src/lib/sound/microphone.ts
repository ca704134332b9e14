/** The microphone as blocks of samples at a rate of our choice. */
import tap from './tap.worklet.ts?worker&url'

/** What is said when the microphone can not be had, with what to do about it. */
export class NoMicrophone extends Error {}

/**
 * Asks for the microphone and calls back with every block, full scale 1, until the returned function is called; `lost` is told when
 * the microphone goes away by itself.
 */
export async function openMicrophone(
  rateHz: number,
  block: (samples: Float32Array) => void,
  lost: (why: string) => void,
): Promise<() => void> {
  if (!navigator.mediaDevices || !window.AudioWorklet)
    throw new NoMicrophone(
      'This browser gives no microphone to this address. Open the page at localhost or 127.0.0.1, or use WAV files.',
    )
  let stream: MediaStream
  try {
    // What makes speech clear would change the sound of a touch.
    stream = await navigator.mediaDevices.getUserMedia({
      audio: { channelCount: 1, echoCancellation: false, noiseSuppression: false, autoGainControl: false },
    })
  } catch (cause) {
    throw new NoMicrophone(reason(cause))
  }
  const stopAll = () => stream.getTracks().forEach((track) => track.stop())
  const context = new AudioContext({ sampleRate: rateHz })
  stream.getAudioTracks().forEach((track) => {
    track.onended = () => lost('The microphone went away. Connect it again and press Listen.')
  })
  try {
    if (context.sampleRate !== rateHz) throw new Error(`the browser gives ${context.sampleRate} Hz`)
    await context.audioWorklet.addModule(tap)
    const node = new AudioWorkletNode(context, 'holdfast-tap', { numberOfOutputs: 1 })
    node.port.onmessage = (event: MessageEvent<Float32Array>) => block(event.data)
    context.createMediaStreamSource(stream).connect(node)
    // Without a way to the loudspeaker some browsers run no node; the tap writes silence there.
    node.connect(context.destination)
    await context.resume()
  } catch (cause) {
    stopAll()
    void context.close()
    throw new NoMicrophone(
      `The microphone can not be read at ${rateHz} Hz (${(cause as Error).message}). Set the sound card to this rate, or use WAV files.`,
    )
  }
  return () => {
    stopAll()
    void context.close()
  }
}

function reason(cause: unknown): string {
  switch ((cause as DOMException).name) {
    case 'NotAllowedError':
      return 'The browser was not allowed to listen. Allow the microphone beside the address and press Listen again.'
    case 'NotFoundError':
      return 'No microphone is connected. Connect one and press Listen again, or use WAV files.'
    case 'NotReadableError':
      return 'Another program holds the microphone. Close it there and press Listen again.'
    default:
      return `The microphone can not be had: ${(cause as Error).message}. Use WAV files meanwhile.`
  }
}

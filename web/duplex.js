// Moves samples between the microphone, the loudspeaker and the page, on the audio thread.
//
// Frame numbers are currentFrame, the context's own count, as long as that goes on. Chromium does not bring it up to date while
// the page holds the graph's lock: several quanta get the same count, their sound goes on all the same, and then the count leaps to
// where it belongs. So once it is steady a quantum begins where the one before it ended, or later. To the page goes
//   {pcm: ArrayBuffer of 32-bit floats, n: samples in it, first: frame of the first,
//    gap: frames lost just before it, late: frames that came too late to sound, so far}
// and the page sends the bare buffer back to be used again, or
//   {at: frame, pcm: ArrayBuffer}   to be played from that frame on, added to what else sounds
//   {quiet: true}                   to drop everything scheduled
//   {close: true}                   to end.
// process() allocates nothing of its own: objects, views and buffers are made at the start
// or when a message comes in.
//
// 1024 frames keep the delay near 20 ms; 16 buffers are a third of a second in which the
// page may do something else before anything is lost.
const blockFrames = 1024;
const buffers = 16;

// Browsers run the first quanta before the device does and then jump ahead; only after this
// many without a jump is the count taken to be steady.
const steadyQuanta = 50;

class Duplex extends AudioWorkletProcessor {
  constructor() {
    super();
    this.running = true;
    this.steady = 0; // quanta without a jump, up to steadyQuanta
    this.expected = -1; // frame the next quantum should start at
    this.next = -1; // frame after the last one handed over or being filled
    this.pool = [];
    for (let i = 0; i < buffers; i++) this.pool.push(new Float32Array(blockFrames));
    this.filling = null;
    this.message = { pcm: null, n: 0, first: 0, gap: 0, late: 0 };
    this.transfer = [null];
    this.late = 0;
    this.parts = []; // {at, pcm, fresh: not looked at yet}
    this.port.onmessage = (e) => this.receive(e.data);
  }

  receive(m) {
    if (m instanceof ArrayBuffer) {
      this.pool.push(new Float32Array(m));
    } else if (m.pcm) {
      this.parts.push({ at: m.at, pcm: new Float32Array(m.pcm), fresh: true });
    } else if (m.quiet) {
      this.parts.length = 0;
    } else if (m.close) {
      this.running = false;
    }
  }

  process(inputs, outputs) {
    const steady = this.steady === steadyQuanta;
    const now = steady ? Math.max(currentFrame, this.expected) : currentFrame;
    const out = outputs[0];
    const frames = out[0].length;
    this.play(out, now, frames);

    if (now !== this.expected) {
      if (steady) this.hand(); // a gap: what came before it is whole
      else this.steady = 0;
    }
    this.expected = now + frames;
    if (steady) {
      this.capture(inputs[0].length > 0 ? inputs[0][0] : null, now, frames);
    } else {
      this.steady++;
      this.next = this.expected;
    }
    return this.running;
  }

  // capture takes one quantum, null for silence: an input without channels is a source that
  // is not there at the moment, and the count goes on.
  capture(input, now, frames) {
    let from = 0;
    while (from < frames) {
      if (this.filling === null) {
        if (this.pool.length === 0) return; // lost; the next block's gap says so
        this.filling = this.pool.pop();
        this.message.n = 0;
        this.message.first = now + from;
        this.message.gap = this.message.first - this.next;
      }
      const n = Math.min(frames - from, blockFrames - this.message.n);
      for (let i = 0; i < n; i++) {
        this.filling[this.message.n + i] = input === null ? 0 : input[from + i];
      }
      this.message.n += n;
      from += n;
      this.next = now + from;
      if (this.message.n === blockFrames) this.hand();
    }
  }

  hand() {
    if (this.filling === null) return;
    this.message.pcm = this.transfer[0] = this.filling.buffer;
    this.message.late = this.late;
    this.filling = null;
    this.port.postMessage(this.message, this.transfer);
  }

  // play adds up what is scheduled for this quantum and forgets what is over.
  play(out, now, frames) {
    const first = out[0];
    let kept = 0;
    for (let k = 0; k < this.parts.length; k++) {
      const part = this.parts[k];
      const skip = now - part.at; // of the part's samples
      if (part.fresh) {
        part.fresh = false;
        this.late += Math.min(Math.max(skip, 0), part.pcm.length);
      }
      const end = Math.min(frames, part.pcm.length - skip);
      for (let i = Math.max(0, -skip); i < end; i++) first[i] += part.pcm[skip + i];
      if (part.pcm.length - skip > frames) this.parts[kept++] = part;
    }
    if (kept < this.parts.length) this.parts.length = kept;
    for (let c = 1; c < out.length; c++) out[c].set(first);
  }
}

registerProcessor("duplex", Duplex);

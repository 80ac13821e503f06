// Keeps hold of what the stream makes, so that a test can do to it what a system does, and
// behaves like other browsers when a test asks for it.
globalThis.contexts = [];
globalThis.tracks = [];
globalThis.violations = []; // of the page's content security policy
globalThis.refuseWith = ""; // name of the DOMException getUserMedia fails with
globalThis.sameRate = false; // connect microphones only to contexts made with a rate, as Firefox does

addEventListener("securitypolicyviolation", (e) => violations.push(e.violatedDirective + " " + e.blockedURI));

globalThis.AudioContext = class extends AudioContext {
  constructor(options) {
    super(options);
    this.asked = options.sampleRate;
    contexts.push(this);
  }
  createMediaStreamSource(media) {
    if (sameRate && this.asked === undefined) {
      throw new DOMException("Connecting AudioNodes from AudioContexts with different sample-rate", "NotSupportedError");
    }
    return super.createMediaStreamSource(media);
  }
};

if (navigator.mediaDevices) {
  const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
  navigator.mediaDevices.getUserMedia = (constraints) => {
    if (refuseWith) return Promise.reject(new DOMException("as asked by the test", refuseWith));
    const media = ask(constraints);
    media.then((m) => tracks.push(...m.getAudioTracks())).catch(() => {});
    return media;
  };
}

// Prints the notes that the engraver verovio finds in each file: place in quarters from the
// beginning of the page, MIDI note number, length in milliseconds.
import createVerovioModule from 'verovio/wasm';
import { VerovioToolkit } from 'verovio/esm';
import fs from 'fs';

const toolkit = new VerovioToolkit(await createVerovioModule());
const answers = {};
for (const file of process.argv.slice(2)) {
  const notes = [];
  if (toolkit.loadData(fs.readFileSync(file, 'utf8'))) {
    for (const moment of toolkit.renderToTimemap({ includeRests: false })) {
      for (const id of moment.on ?? []) {
        notes.push([moment.qstamp, toolkit.getMIDIValuesForElement(id).pitch]);
      }
    }
  }
  answers[file] = notes;
}
console.log(JSON.stringify(answers));

// The queue of a tablet: what is tapped is kept here first, sent in order, and let go once it is answered.
const NAME = "sinkside.bench";
const IN_ONE_GO = 40;
const PATIENCE_MS = 8000;
const MOST_CONFLICTS = 3;

/** What nobody guesses, also where a page is served without encryption and has no randomUUID. */
export function chance(bytes = 16) {
  const drawn = crypto.getRandomValues(new Uint8Array(bytes));
  return [...drawn].map((one) => one.toString(16).padStart(2, "0")).join("");
}

const nothingYet = () => ({ bench: `b-${chance(8)}`, next: 1, waiting: [], refused: [] });

/**
 * One person's queue on one tablet: taps go under the name of whoever tapped, so another's wait for their own.
 * `post` sends taps and answers { status, tapped, sentence }; it throws where there is no network.
 */
export class Queue {
  #sending = null;
  #inMemory = null;

  constructor(person, post, { store = localStorage, now = () => new Date() } = {}) {
    this.place = `${NAME}.${person}`;
    this.post = post;
    this.store = store;
    this.now = now;
    this.changed = () => {};
  }

  /** Whether taps outlive this page: not where the browser keeps nothing. */
  get outlivesThePage() {
    return this.#inMemory === null;
  }

  get waiting() {
    return this.#read().waiting;
  }

  get refused() {
    return this.#read().refused;
  }

  /** People of this tablet, other than this one, of whom something still waits. */
  get others() {
    const found = [];
    for (let at = 0; at < this.store.length; at += 1) {
      const place = this.store.key(at);
      if (!place.startsWith(`${NAME}.`) || place === this.place) continue;
      const waits = JSON.parse(this.store.getItem(place)).waiting.length;
      if (waits) found.push(waits);
    }
    return found;
  }

  /** Keep a tap; only then may the page go on. */
  add(act, words) {
    const kept = this.#read();
    const tap = { key: chance(), bench: kept.bench, number: kept.next, at: this.now().toISOString(), act };
    kept.waiting.push({ tap, words });
    kept.next += 1;
    this.#write(kept);
    return tap;
  }

  /** Somebody saw that these were refused. */
  dismiss() {
    this.#write({ ...this.#read(), refused: [] });
  }

  /** Send what waits, in order. Answers `sent`, `offline`, `door` (nobody is signed in) or `trouble`. */
  drain() {
    this.#sending ??= this.#drain().finally(() => {
      this.#sending = null;
    });
    return this.#sending;
  }

  async #drain() {
    let inOneGo = IN_ONE_GO;
    let conflicts = 0;
    for (let waiting = this.waiting; waiting.length; waiting = this.waiting) {
      const some = waiting.slice(0, inOneGo).map((one) => one.tap);
      let answer;
      try {
        answer = await this.post(some, AbortSignal.timeout(PATIENCE_MS));
      } catch {
        return "offline";
      }
      if (answer.status === 200) {
        this.#answered(answer.tapped);
        // What was taken under its old number has none in the new bench.
        if (conflicts && answer.tapped.some((one) => one.repeated)) this.#renumber();
        if (this.waiting.length < waiting.length) conflicts = Math.min(conflicts, 1);
      } else if (answer.status === 409 && conflicts < MOST_CONFLICTS) {
        // The house expects another number: go on as a new bench. The keys stay, so nothing is done twice.
        this.#renumber();
        inOneGo = 1;
        conflicts += 1;
      } else if (answer.status === 401 || answer.status === 403) {
        return "door";
      } else if (answer.status === 422 && some.length > 1) {
        inOneGo = 1;
      } else if (answer.status === 422) {
        this.#answered([{ key: some[0].key, outcome: "refused", said: answer.sentence }]);
        this.#renumber();
      } else {
        return "trouble";
      }
    }
    return "sent";
  }

  #answered(tapped) {
    const kept = this.#read();
    const answers = new Map(tapped.map((one) => [one.key, one]));
    const isAnswered = (one) => answers.has(one.tap.key);
    const refused = kept.waiting.filter((one) => answers.get(one.tap.key)?.outcome === "refused");
    kept.refused.push(
      ...refused.map((one) => ({ at: one.tap.at, words: one.words, said: answers.get(one.tap.key).said })),
    );
    const left = kept.waiting.filter((one) => !isAnswered(one));
    // An answer to none of ours would be asked for again without end.
    if (left.length === kept.waiting.length) throw new Error("the house answered other taps than were sent");
    this.#write({ ...kept, waiting: left });
    this.changed(tapped);
  }

  #renumber() {
    const kept = this.#read();
    const bench = nothingYet().bench;
    const waiting = kept.waiting.map((one, at) => ({ ...one, tap: { ...one.tap, bench, number: at + 1 } }));
    this.#write({ ...kept, bench, next: waiting.length + 1, waiting });
  }

  #read() {
    if (this.#inMemory) return structuredClone(this.#inMemory);
    const kept = this.store.getItem(this.place);
    return kept ? JSON.parse(kept) : nothingYet();
  }

  #write(kept) {
    if (!this.#inMemory) {
      try {
        this.store.setItem(this.place, JSON.stringify(kept));
        return;
      } catch {
        // A full or forbidden store: what is tapped still goes, but only as long as this page is open.
      }
    }
    this.#inMemory = structuredClone(kept);
  }
}

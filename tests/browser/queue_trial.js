// A tablet's queue against a house as the contract says, through lost answers, a house that is killed half way or
// set back, pages that are closed: what the house took in, in its order.
export async function trial(seed, Queue) {
  let drawn = seed;
  const draw = () => (drawn = (drawn * 1103515245 + 12345) % 2147483648) / 2147483648;
  const kept = new Map();
  const store = {
    getItem: (name) => kept.get(name) ?? null,
    setItem: (name, text) => kept.set(name, text),
    key: (at) => [...kept.keys()][at],
    get length() {
      return kept.size;
    },
  };
  const taken = [];
  const answers = new Map();
  const last = new Map();
  const house = (taps) => {
    const tapped = [];
    for (const tap of taps) {
      if (answers.has(tap.key)) {
        tapped.push({ ...answers.get(tap.key), repeated: true });
        continue;
      }
      if (tap.number !== (last.get(tap.bench) ?? 0) + 1) return { status: 409 };
      last.set(tap.bench, tap.number);
      taken.push(tap.act.n);
      answers.set(tap.key, { key: tap.key, outcome: tap.act.n % 7 ? "done" : "refused", said: "it is held" });
      tapped.push(answers.get(tap.key));
    }
    return { status: 200, tapped };
  };
  const post = async (taps) => {
    const chance = draw();
    if (chance < 0.2) throw new TypeError("no network");
    if (chance < 0.3) return { status: 503 };
    if (chance < 0.35) {
      house(taps.slice(0, Math.floor(draw() * taps.length)));
      throw new TypeError("killed half way");
    }
    const answer = house(taps);
    if (chance < 0.5) throw new TypeError("the answer was lost");
    return answer;
  };
  let queue = new Queue("p", post, { store });
  const tapped = [];
  for (let n = 1; n <= 60; n += 1) {
    queue.add({ act: "take-up", n }, { text: "taken up" });
    tapped.push(n);
    if (draw() < 0.1) last.set(JSON.parse(kept.get("sinkside.bench.p")).bench, 999);
    if (draw() < 0.2) queue = new Queue("p", post, { store });
    if (draw() < 0.6) await queue.drain();
  }
  for (let at = 0; at < 200 && queue.waiting.length; at += 1) await queue.drain();
  return { waiting: queue.waiting.length, taken, tapped, refused: queue.refused.length };
}

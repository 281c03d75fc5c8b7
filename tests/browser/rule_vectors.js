// Runs every vector against the modules in the page: what is wrong, each in a plain line.
async ({ addresses, files, rules }) => {
  const entries = Object.entries(addresses).map(async ([name, url]) => [name, await import(url)]);
  const m = Object.fromEntries(await Promise.all(entries));
  const problems = [];
  const sorted = (thing) =>
    Array.isArray(thing) ? thing.map(sorted)
    : thing && typeof thing === "object"
      ? Object.fromEntries(Object.keys(thing).sort().map((key) => [key, sorted(thing[key])]))
      : thing;
  const same = (file, name, wanted, found) => {
    const [want, got] = [wanted, found].map((one) => JSON.stringify(sorted(one)));
    if (want !== got) problems.push(`${file}, "${name}": wanted ${want}, got ${got}`);
  };
  const pairs = (list) => list.map(({ field, code }) => [field, code]);
  const counts = {};
  const each = (file, run) => {
    counts[file] = files[file].vectors.length;
    for (const vector of files[file].vectors) {
      try {
        run(vector, files[file]);
      } catch (error) {
        problems.push(`${file}, "${vector.name ?? vector.text}": ${error.stack}`);
      }
    }
  };
  const parse = {
    length: (v) => m.units.parseLength(v.text, v.default_unit, { signed: Boolean(v.signed) }),
    torque: (v) => m.units.parseTorque(v.text, v.default_unit),
    pressure: (v) => m.units.parsePressure(v.text, v.default_unit),
    meter: (v) => m.units.parseMeter(v.text, v.default_unit),
  };
  each("tape", (v) => {
    let told;
    try {
      const { magnitude, unit, si } = parse[v.kind](v);
      told = { top: Number(magnitude.top), bottom: Number(magnitude.bottom), unit, si };
    } catch (error) {
      if (!(error instanceof m.units.UnitError)) throw error;
      told = { code: error.code, position: error.position };
      if (!error.hint) problems.push(`tape, "${v.text}": no hint`);
    }
    same("tape", v.text, v.reads ?? v.refuses, told);
  });
  each("asked_fields", (v) => {
    const given = JSON.stringify(v.fields);
    same("asked_fields", v.name, v.asked, m.asked.askedFields(v.fields, v.facts));
    same("asked_fields", `${v.name}: left as given`, given, JSON.stringify(v.fields));
  });
  each("line_fields", (v) => {
    const named = (list) => list.map(({ name, code }) => ({ name, code }));
    const { values, problems: unread } = m.fields.readFields(v.fields, v.typed);
    const lacking = m.fields.missing(v.fields, values);
    same("line_fields", v.name, [v.values, v.problems, v.missing],
      [values, named(unread), named(lacking)]);
  });
  const instant = ({ when, zone }) => ({
    when: new Date(when), zone, tolerance: m.settings.settingOf(rules, "tool_compare_tolerance"),
  });
  const joints = (file, facts = {}) =>
    Object.entries(file.joints).map(([id, joint]) => ({ id, ...joint, ...facts[id] }));
  each("looks", (v, file) => {
    const frame = {
      joints: joints(file, { [v.joint]: v.facts }), tools: file.tools, rules, at: instant(file),
    };
    const [seen] = m.looks.readLooks([{ joint: v.joint, ...v.look }], frame);
    same("looks", v.name, v.problems, pairs(seen.problems));
    if ("torque_nm" in v) same("looks", `${v.name}: torque`, v.torque_nm, seen.torqueNm);
    if (v.response === null) return;
    const { response, answer } = seen.verdict;
    same("looks", `${v.name}: verdict`, [v.response, v.answer], [response, answer]);
  });
  const judged = (file, action, joint, typed, vehicle) =>
    m.lines.judgeLine({ action, joint }, typed, {
      vehicle, rules, tools: file.tools ?? [], far: vehicle.far, at: instant(file),
    });
  each("torque_lines", (v, file) => {
    const vehicle = { ...file.vehicle, joints: joints(file, v.facts) };
    const joint = vehicle.joints.find(({ id }) => id === v.joint);
    const typed = { ...file.base[v.action], ...v.typed };
    const { refused, lacks } = judged(file, v.action, joint, typed, vehicle);
    same("torque_lines", v.name, v.refused, pairs(refused));
    if (!v.refused.length) same("torque_lines", v.name, v.lacks, pairs(lacks));
  });
  each("toe", (v, file) => {
    const vehicle = { ...file.vehicle, ...v.vehicle, joints: [] };
    const typed = { ...file.base, ...v.typed };
    const { values, lacks } = judged({ when: 0, zone: "UTC" }, "set_toe", null, typed, vehicle);
    same("toe", v.name, v.lacks, pairs(lacks));
    same("toe", v.name, v.toe_m, m.toe.toeReadings(values).map(({ toeM }) => toeM));
  });
  each("checks", (v, file) => {
    const ids = { technician: 1, colleague: 2, untrained: 3 };
    const [start, person] = [Date.UTC(2026, 8, 1, 15), { id: ids[v.by], ...file.people[v.by] }];
    const when = new Date(start + (v.minutes ?? 0) * 60000);
    const job = {
      hands: [{ by: 1, done_by: v.done_by ?? "", at: new Date(start).toISOString() }],
      lines: [{ action: v.action ?? "retorque", kind: v.action ? null : "track_bar_frame_end" }],
      oscillated: Boolean(v.oscillated), cracked: Boolean(v.cracked), state: v.state ?? "open",
      leaveUntil: v.leave ? new Date(start + 24 * 3600000).toISOString() : null,
    };
    same("checks", v.name, v.problems,
      pairs(m.check.checkProblems(person, v.sheet, job, { rules, when })));
  });
  each("suggested", (v) => {
    const told = Object.keys(v.suggested).map((code) =>
      [code, m.work.suggestedAction(v.kind, code, rules)]);
    same("suggested", v.kind, v.suggested, Object.fromEntries(told));
  });
  each("brought", (v) => {
    const told = [
      m.work.opensSteering(v.action, rules, v.kind), m.work.broughtBy(v.action, rules, v.kind),
    ];
    same("brought", `${v.action} ${v.kind}`, [v.opens_steering, v.brings], told);
  });
  each("causes", (v) => {
    const joint = v.looks.reduce((now, code) => ({ ...now, ...m.work.afterLook(now, code) }), { id: 1 });
    const lines = v.lines.map(([action, looked]) =>
      ({ action, joint, values: looked ? { cause_looked_for: { value: true } } : {} }));
    same("causes", v.name, v.missing, m.work.causesMissing(lines, rules).map(({ action }) => action));
  });
  const key = (hex) => crypto.subtle.importKey("raw", Uint8Array.from(hex.match(/../g), (two) => parseInt(two, 16)),
    { name: "HMAC", hash: "SHA-256" }, false, ["sign"]);
  const heard = files.read_over.vectors.map(async (v) => {
    const [worker, checker, tablet] = await Promise.all([v.worker_key, v.checker_key, v.tablet_key].map(key));
    const code = await m.read_over.codeOf(v.asked, worker, checker);
    same("read_over", v.asked.vehicle, [v.code, v.reply], [code, await m.read_over.replyTo(v.asked, code, tablet)]);
    const swapped = code[1] + code[0] + code.slice(2);
    const right = [code, v.reply, swapped].map(m.read_over.heardRight);
    same("read_over", `${v.asked.vehicle}: heard`, [true, true, swapped === code], right);
  });
  await Promise.all(heard);
  counts.read_over = heard.length;
  return { problems, counts };
}

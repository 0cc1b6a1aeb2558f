import { useState } from "preact/hooks";
import { isExempt, pairing } from "../lib/pairing";
import { deviceName, person } from "../lib/state";
import { text } from "../lib/text";
import { focus } from "../part/focus";

// <Person> asks once, at the first start, who measures; the name goes with every reading.
// Props: none.  Calls: sets the signals person and deviceName.
export function Person() {
	const [name, setName] = useState("");
	const [device, setDevice] = useState(deviceName.value || text.person.deviceDefault(isExempt()));
	const isNamed = pairing.value.hasToken; // by the shop
	return (
		<main class="page">
			<form
				class="card stack person"
				onSubmit={(e) => {
					e.preventDefault();
					if (name.trim() === "") return;
					if (!isNamed) deviceName.value = device.trim() || text.person.deviceDefault(isExempt());
					person.value = name.trim();
				}}
			>
				<h1>{text.person.title}</h1>
				<p class="soft">{text.person.why}</p>
				<label>
					<span class="cell-label">{text.person.label}</span>
					<input
						type="text"
						autoComplete="off"
						data-test="person"
						value={name}
						ref={focus}
						onInput={(e) => setName(e.currentTarget.value)}
					/>
				</label>
				{!isNamed && (
					<label>
						<span class="cell-label">{text.person.device(isExempt())}</span>
						<input
							type="text"
							autoComplete="off"
							data-test="device-name"
							value={device}
							onInput={(e) => setDevice(e.currentTarget.value)}
						/>
					</label>
				)}
				<button type="submit" class="primary wide" data-test="person-go" disabled={name.trim() === ""}>
					{text.person.go}
				</button>
			</form>
		</main>
	);
}

import { asked } from "../lib/fields";
import { go, placeOf, status } from "../lib/state";
import { saved } from "../lib/textsaved";
import { ownerTitle } from "./known";

// <NotTaken> lists the records that the shop set aside or refused, and says what to do about each.
// Props: none.  Calls: go.
export function NotTaken() {
	const { aside } = status.value;
	if (aside.length === 0) return null;
	return (
		<section class="card stack" data-test="not-taken">
			<h2>{saved.notTaken}</h2>
			<p class="soft">{saved.notTakenWhy}</p>
			<ul class="stack">
				{aside.map(({ id, why }) => (
					<li key={id} class="stack">
						<strong>{nameOf(id)}</strong>
						<span>{why === "" ? saved.twin : saved.refused(why)}</span>
						<OpenField id={id} />
					</li>
				))}
			</ul>
		</section>
	);
}

function nameOf(id: string): string {
	const place = placeOf(id);
	const field = place && asked(place.slot);
	return field ? `${ownerTitle(place.job, place.slot)}, ${field.field.label}` : (place?.slot ?? id);
}

function OpenField({ id }: { id: string }) {
	const place = placeOf(id);
	if (!place || !asked(place.slot)) return null;
	return (
		<button type="button" onClick={() => go({ screen: "measure", ...place })}>
			{saved.openField}
		</button>
	);
}

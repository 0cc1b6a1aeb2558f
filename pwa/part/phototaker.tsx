import { signal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { beginPhoto, endPhoto, type Intent, keepPhoto, photoIntent, savingPhoto } from "../lib/photos";
import { route } from "../lib/state";
import { photo as photoWords } from "../lib/textphoto";
import { tellSaved } from "./savednote";
import { shownBy } from "./shownby";

type From = "camera" | "gallery";

const isOpen = signal(false); // the system's camera or gallery is in front
const fault = signal("");
const inputs: Record<From, HTMLInputElement | null> = { camera: null, gallery: null };

/** takePhoto opens the camera, or the gallery, for a photo of what slot shows; the intent is on the disk first. */
export async function takePhoto(to: Omit<Intent, "route">, from: From) {
	const now = photoIntent.peek();
	fault.value = "";
	const isNoted = now?.job === to.job && now.slot === to.slot && now.of === to.of;
	// A disk that does not answer must not keep the camera shut; the tap counts for some seconds only.
	if (!isNoted)
		await Promise.race([beginPhoto({ ...to, route: route.peek() }).catch(() => {}), pause(NOTED_MS)]);
	isOpen.value = true;
	inputs[from]?.click();
}

const NOTED_MS = 900;
const BACK_MS = 2_000; // from the return to the app to the picture's arrival

const pause = (ms: number) => new Promise<void>((done) => setTimeout(done, ms));

// <PhotoTaker> stands once in the app: the two file inputs, and the line that says that a photo is being
// saved, was not, or was begun and not finished, with the ways on.
// Props: none (see takePhoto).  Calls: keepPhoto, endPhoto.
export function PhotoTaker() {
	const intent = photoIntent.value;
	const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
	const came = async (e: { currentTarget: HTMLInputElement }) => {
		const input = e.currentTarget;
		const file = input.files?.[0];
		const to = photoIntent.peek();
		if (!file || !to) return;
		try {
			await keepPhoto(file, to);
			tellSaved(photoWords.saved(shownBy(to.job, to.slot)));
		} catch (err) {
			fault.value = sentence(err);
		}
		isOpen.value = false;
		input.value = ""; // the same picture can be chosen again
	};
	const leave = () => {
		isOpen.value = false;
		fault.value = "";
		endPhoto().catch(() => {}); // the line comes back at the next start, no more
	};
	// Back in the app and neither a picture nor a "no": the way on is shown again.
	const back = () => {
		clearTimeout(timer.current);
		timer.current = setTimeout(() => {
			if (savingPhoto.peek() === "") isOpen.value = false;
		}, BACK_MS);
	};
	const input = (from: From) => (
		<input
			ref={(el) => {
				inputs[from] = el;
			}}
			type="file"
			class="file-input"
			tabIndex={-1}
			aria-hidden="true"
			accept="image/jpeg" // so that a tablet hands over a JPEG whatever its camera writes
			{...(from === "camera" && { capture: "environment" })}
			data-test={`file-${from}`}
			data-open={isOpen.value}
			onChange={came}
			onCancel={leave}
			onFocus={back}
		/>
	);
	return (
		<>
			{input("camera")}
			{input("gallery")}
			{savingPhoto.value !== "" && (
				<p class="photo-line" role="status" data-test="photo-saving">
					{photoWords.saving}
				</p>
			)}
			{intent && savingPhoto.value === "" && (fault.value !== "" || !isOpen.value) && (
				<Begun intent={intent} why={fault.value} onLeave={leave} />
			)}
		</>
	);
}

function Begun({ intent, why, onLeave }: { intent: Intent; why: string; onLeave: () => void }) {
	return (
		<section class="photo-line photo-begun" data-test="photo-begun">
			<p class={why === "" ? "" : "fault"} role={why === "" ? "status" : "alert"}>
				{why === "" ? photoWords.begun(shownBy(intent.job, intent.slot)) : why}
			</p>
			<div class="row">
				<button
					type="button"
					class="primary grow"
					data-test="photo-again"
					onClick={() => takePhoto(intent, "camera")}
				>
					{photoWords.takeAgain}
				</button>
				<button
					type="button"
					class="grow"
					data-test="photo-gallery"
					onClick={() => takePhoto(intent, "gallery")}
				>
					{photoWords.gallery}
				</button>
				<button type="button" data-test="photo-leave" onClick={onLeave}>
					{photoWords.leave}
				</button>
			</div>
		</section>
	);
}

const WHY: Record<string, string> = {
	heic: photoWords.heic,
	type: photoWords.notPicture,
	broken: photoWords.broken,
	large: photoWords.tooLarge,
};

function sentence(err: unknown): string {
	const why = err instanceof Error && "why" in err ? WHY[String(err.why)] : undefined;
	return why ?? photoWords.notSaved(err instanceof Error ? err.message : String(err));
}

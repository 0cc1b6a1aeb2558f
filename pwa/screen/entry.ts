import type { Asked } from "../lib/fields";
import type { Form, ReadingInput } from "../lib/state";

/** What the two ways of entering a value, figures and words, get from the page. */
export interface EntryProps {
	job: string;
	ask: Asked;
	form: Form;
	onKeep: (r: ReadingInput, said: string) => Promise<void>;
	onSkip: () => void;
}

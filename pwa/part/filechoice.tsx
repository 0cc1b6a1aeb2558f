import { useRef } from "preact/hooks";

interface FileChoiceProps {
	label: string;
	accept: string;
	most: number;
	test: string;
	onText: (text: string, name: string) => void | Promise<void>;
	onLarge: (bytes: number) => void;
	onUnread: (why: string) => void;
}

// <FileChoice label="choose a DXF" accept=".dxf" most={2e6} test="dxf" onText={…} …> takes the text of a file from the
// tablet, the same file again too.
// Props: label, accept (endings and types), most (bytes), test, onText, onLarge, onUnread.
// Calls: onText (text, name) of a file that was read, onLarge (bytes), onUnread (why).
export function FileChoice({ label, accept, most, test, onText, onLarge, onUnread }: FileChoiceProps) {
	const input = useRef<HTMLInputElement>(null);
	const read = async (file: File | undefined) => {
		if (!file) return;
		if (file.size > most) return onLarge(file.size);
		try {
			await onText(await file.text(), file.name);
		} catch (e) {
			onUnread(e instanceof Error ? e.message : String(e));
		}
	};
	return (
		<>
			<input
				ref={input}
				type="file"
				class="file-input"
				tabIndex={-1}
				aria-hidden="true"
				accept={accept}
				data-test={`${test}-file`}
				onChange={(e) => {
					read(e.currentTarget.files?.[0]);
					e.currentTarget.value = ""; // the same file can be chosen again
				}}
			/>
			<button type="button" data-test={`${test}-choose`} onClick={() => input.current?.click()}>
				{label}
			</button>
		</>
	);
}

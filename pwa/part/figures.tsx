import type { ComponentChildren } from "preact";

interface FiguresProps {
	title: string;
	head: string[];
	children: ComponentChildren;
	foot?: string | undefined;
	test?: string;
}

// <Figures title="Sockets" head={["socket", "offset, mm"]}> is a table of figures: its title, if it has one, a
// row of heads of which all but the first stand right, and what is to be said under it.
// Props: title, head, children (rows), foot, test.  Calls: nothing.
export function Figures({ title, head, children, foot, test }: FiguresProps) {
	return (
		<div class="table" data-test={test}>
			<table class="figures">
				{title !== "" && <caption>{title}</caption>}
				<thead>
					<tr>
						{head.map((h, i) => (
							<th key={h} class={i > 0 ? "num" : ""}>
								{h}
							</th>
						))}
					</tr>
				</thead>
				<tbody>{children}</tbody>
			</table>
			{foot && <p class="soft small">{foot}</p>}
		</div>
	);
}

// Volumes and sections of ruled lofts between two closed polygons by a general CAD
// kernel (OpenCASCADE, Debian: libocct-modeling-algorithms-dev). calc/flange is
// checked against it.
//
// Reads lofts from standard input, numbers in mm: N, N points of the first polygon,
// N of the second, both planar, and a height Z. Prints a line for each: volume, and
// area of the section at Z, 0 where Z is below 0.
#include <BRepAlgoAPI_Common.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepGProp.hxx>
#include <BRepOffsetAPI_ThruSections.hxx>
#include <GProp_GProps.hxx>
#include <gp_Pln.hxx>

#include <cmath>
#include <cstdio>

static bool polygon(int n, BRepBuilderAPI_MakePolygon &p) {
	for (int i = 0; i < n; i++) {
		double x, y, z;
		if (std::scanf("%lf %lf %lf", &x, &y, &z) != 3) return false;
		p.Add(gp_Pnt(x, y, z));
	}
	p.Close();
	return true;
}

int main() {
	int n;
	while (std::scanf("%d", &n) == 1) {
		BRepBuilderAPI_MakePolygon from, to;
		double at;
		if (!polygon(n, from) || !polygon(n, to) || std::scanf("%lf", &at) != 1) {
			std::fprintf(stderr, "a number is missing\n");
			return 1;
		}
		BRepOffsetAPI_ThruSections loft(Standard_True, Standard_True, 1e-7);
		loft.CheckCompatibility(Standard_False);
		loft.AddWire(from.Wire());
		loft.AddWire(to.Wire());
		loft.Build();
		GProp_GProps solid, cut;
		BRepGProp::VolumeProperties(loft.Shape(), solid, 1e-10);
		if (at < 0) {
			std::printf("%.17g 0\n", std::fabs(solid.Mass()));
			continue;
		}
		TopoDS_Face plane = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0, 0, at), gp_Dir(0, 0, 1)), -500, 500, -500, 500).Face();
		BRepAlgoAPI_Common section(plane, loft.Shape());
		BRepGProp::SurfaceProperties(section.Shape(), cut);
		std::printf("%.17g %.17g\n", std::fabs(solid.Mass()), std::fabs(cut.Mass()));
	}
}

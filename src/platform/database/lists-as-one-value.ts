import {
  type BinaryOperationNode,
  OperatorNode,
  PostgresDialect,
  PostgresQueryCompiler,
  PrimitiveValueListNode,
  type QueryCompiler,
} from 'kysely';

/**
 * `x in (…)` with a parameter for each value makes as many statements as there are lengths of lists, and each is
 * parsed and planned anew. So a list travels as one value: `x = any ($1)`, and `x <> all ($1)` for `not in`. A list of
 * one is a comparison, which the order of an index serves.
 */
export class ListsAsOneValue extends PostgresDialect {
  override createQueryCompiler(): QueryCompiler {
    return new Compiler();
  }
}

const COMPARISONS = { in: { one: '=', many: '= any' }, 'not in': { one: '<>', many: '<> all' } } as const;

class Compiler extends PostgresQueryCompiler {
  protected override visitBinaryOperation(node: BinaryOperationNode): void {
    const { leftOperand, operator, rightOperand } = node;
    const word = OperatorNode.is(operator) ? operator.operator : undefined;
    if ((word !== 'in' && word !== 'not in') || !PrimitiveValueListNode.is(rightOperand))
      return super.visitBinaryOperation(node);
    const { values } = rightOperand;
    const { one, many } = COMPARISONS[word];
    this.visitNode(leftOperand);
    this.append(values.length === 1 ? ` ${one} ` : ` ${many} (`);
    this.appendValue(values.length === 1 ? values[0] : [...values]);
    if (values.length !== 1) this.append(')');
  }
}
